"""Writing letters from templates."""

from __future__ import annotations

from django.template.loader import render_to_string

from portal.mail.models import Letter
from portal.work.sending import send


def post_letter(kind: str, to: str, context: dict[str, object]) -> Letter:
    """Write a letter and hand it to a worker after the commit.

    `kind` names the template: 'accounts/invitation' is
    `templates/accounts/letter_invitation.txt`, whose first line is the subject and whose rest,
    after an empty line, is the text.
    """
    room, name = kind.split("/")
    rendered = render_to_string(f"{room}/letter_{name}.txt", context).strip()
    subject, _, text = rendered.partition("\n")
    letter = Letter.objects.create(kind=kind, to=to, subject=subject.strip(), text=text.strip())
    send(letter)
    return letter
