"""Writing letters from templates."""

from __future__ import annotations

from django.template.loader import render_to_string

from portal.mail.models import Letter
from portal.work.sending import send

LONGEST_SUBJECT = Letter._meta.get_field("subject").max_length


def post_letter(kind: str, to: str, context: dict[str, object]) -> Letter:
    """Write a letter from its template and hand it to a worker after the commit."""
    return queue_letter(kind, to, *render_letter(kind, context))


def render_letter(kind: str, context: dict[str, object]) -> tuple[str, str]:
    """A letter's subject and text.

    `kind` names the template: 'accounts/invitation' is
    `templates/accounts/letter_invitation.txt`, whose first line is the subject and whose rest,
    after an empty line, is the text.
    """
    room, name = kind.split("/")
    rendered = render_to_string(f"{room}/letter_{name}.txt", context).strip()
    subject, _, text = rendered.partition("\n")
    return subject.strip()[:LONGEST_SUBJECT], text.strip()


def queue_letter(
    kind: str, to: str, subject: str, text: str, headers: dict[str, str] | None = None
) -> Letter:
    """Keep a letter, with header lines of its own, and hand it to a worker after the commit."""
    letter = Letter.objects.create(
        kind=kind, to=to, subject=subject, text=text, headers=headers or {}
    )
    send(letter)
    return letter
