"""Posting a recap: what is missing, the letters, and who has seen it."""

from __future__ import annotations

from dataclasses import dataclass, field

from django.db import transaction
from django.db.models import F, Q
from django.urls import reverse
from django.utils import timezone

from lessons.clips.models import Clip, Still
from lessons.pairings.models import SavedPairing
from lessons.recaps.models import Recap, Seen
from lessons.visits.models import Lesson
from portal.accounts.links import sign_in_url
from portal.accounts.models import User
from portal.notices.telling import tell


@dataclass(frozen=True)
class Check:
    """What is missing before posting, and what is worth a second look."""

    missing: list[str] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)


class NotReadyError(Exception):
    """The recap can't be posted yet: `missing` says why."""

    def __init__(self, missing: list[str]) -> None:
        super().__init__(" ".join(missing))
        self.missing = missing


def some(count: int, one: str, more: str) -> str:
    return f"1 {one}" if count == 1 else f"{count} {more}"


def check_recap(recap: Recap) -> Check:
    """What stands between the recap and its student."""
    missing, warnings = [], []
    lesson = recap.lesson
    if not recap.main_point:
        missing.append("The main point is missing: one sentence the student should remember.")
    nameless = recap.findings.filter(what="").count()
    if nameless:
        missing.append(
            f"{some(nameless, 'finding has', 'findings have')} no words for what you saw."
        )

    given = list(lesson.assignments.holding())
    if not given:
        warnings.append("No drill is given, so there is nothing to practise.")
    warnings += [f"{a.name} has no dose." for a in given if not a.dose_of_a_day]
    if lesson.next_visit is None:
        warnings.append("The next visit has no date, so the drills have no end.")

    stills = recap.stills.current()
    pulling = stills.filter(still__state__in=[Still.State.WANTED, Still.State.PULLING])
    if count := pulling.count():
        warnings.append(f"{some(count, 'still is', 'stills are')} still being pulled.")
    if count := stills.filter(still__state=Still.State.FAILED).count():
        warnings.append(
            f"{some(count, 'still', 'stills')} could not be taken, so your student does not see it."
        )
    preparing = lesson.clips.current().filter(state__in=[Clip.State.RECEIVED, Clip.State.PREPARING])
    if count := preparing.count():
        warnings.append(
            f"{some(count, 'clip is', 'clips are')} not ready yet. "
            "They appear on the student's page once they are."
        )
    saved = SavedPairing.objects.current().filter(
        pairing__lesson=lesson, pairing__removed_at__isnull=True, in_recap=True
    )
    making = [SavedPairing.State.WANTED, SavedPairing.State.MAKING]
    if count := saved.filter(state__in=making).count():
        warnings.append(
            f"{some(count, 'picture or film', 'pictures or films')} of swings side by side "
            f"{'is' if count == 1 else 'are'} not made yet. Your student sees them once they are."
        )
    if count := saved.filter(state=SavedPairing.State.FAILED).count():
        warnings.append(
            f"{some(count, 'picture or film', 'pictures or films')} of swings side by side "
            "could not be made, so your student does not see it."
        )
    for name in strangers(lesson):
        warnings.append(f"{name} has not signed in yet, so no letter goes to them.")
    return Check(missing, warnings)


def readers(lesson: Lesson) -> list[User]:
    """Who is written to: the student, and the guardians of a junior; only who can sign in."""
    student = lesson.student
    users = [student.user] if student.user else []
    if student.is_junior:
        guardians = student.guardians.filter(user__isnull=False).select_related("user")
        users += [guardian.user for guardian in guardians]
    return users


def strangers(lesson: Lesson) -> list[str]:
    """Names of those who would be written to, had they accepted an invitation."""
    student = lesson.student
    guardians = list(student.guardians.all()) if student.is_junior else []
    # A child without an address of their own reads with their guardian
    own = [student.name] if student.user is None and (student.email or not guardians) else []
    return own + [guardian.name for guardian in guardians if guardian.user_id is None]


def post_recap(lesson: Lesson, by: User) -> bool:
    """Show the recap to its student and write to them; False if it was posted before.

    Raises `NotReadyError` with what is missing. Only the first call writes letters.
    """
    with transaction.atomic():
        recap = Recap.objects.select_related("lesson__student__coach").get(lesson=lesson)
        check = check_recap(recap)
        if check.missing and not recap.lesson.is_posted:
            raise NotReadyError(check.missing)
        if not lesson.mark_posted():
            return False
        write_letters("recaps/posted", recap, by)
    return True


def tell_of_change(recap: Recap, by: User) -> int:
    """Write to the readers that the posted recap was changed; once per change. How many letters."""
    untold = Q(told_at__isnull=True) | Q(told_at__lt=F("edited_at"))
    with transaction.atomic():
        changed = Recap.objects.filter(untold, pk=recap.pk, edited_at__isnull=False)
        if not changed.update(told_at=timezone.now()):
            return 0
        return write_letters("recaps/changed", recap, by)


def write_letters(kind: str, recap: Recap, by: User) -> int:
    """One letter to each reader, with a link that signs them in and leads to the lesson."""
    lesson = recap.lesson
    page = reverse("recaps:read", args=[lesson.pk])
    users = readers(lesson)
    for user in users:
        context = {
            "recap": recap,
            "lesson": lesson,
            "student": lesson.student,
            "to": user,
            "coach": by,
            "is_own": user == lesson.student.user,
            "drills": list(lesson.assignments.holding()),
            "link": sign_in_url(user, page),
        }
        tell(user, "recap", kind, context, page)
    return len(users)


def record_seen(recap: Recap, user: User) -> None:
    """Note that a student or guardian has opened the posted recap: first and last."""
    seen, is_first = Seen.objects.get_or_create(recap=recap, user=user)
    if not is_first:
        seen.save(update_fields=["last_at"])
