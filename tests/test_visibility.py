"""Every address with every role: who may come in, and that nobody else learns it is there.

Headings followed: OWASP ASVS 5.0, V8 Authorization (object-level access), by its title from
memory. A new address fails here until somebody says who may open it.
"""

from __future__ import annotations

import io
import uuid
from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone
from PIL import Image

from lessons.clips.models import Clip, Cut, Still
from lessons.pairings.models import SavedPairing
from lessons.questions.models import Thread
from portal.accounts.models import User
from portal.files.models import Upload
from tests import factories

ROLES = ("nobody", "coach", "other coach", "student", "other student", "guardian")
SIGNED_IN = set(ROLES) - {"nobody"}
COACHES = {"coach", "other coach"}
COACH = {"coach"}
READERS = {"coach", "student"}
FAMILY = {"coach", "guardian"}

# address: (which thing's key it takes, who may open it)
ADDRESSES: dict[str, tuple[str, set[str]]] = {
    # Everyone, signed in or not
    "operations:health": ("", set(ROLES)),
    "account_login": ("", set(ROLES)),
    "password_sign_in": ("", set(ROLES)),
    "account_inactive": ("", set(ROLES)),
    # Whoever is signed in, about themself
    "home": ("", SIGNED_IN),
    "practice:calendar": ("", SIGNED_IN),
    "questions:list": ("", SIGNED_IN),
    "notices:wishes": ("", SIGNED_IN),
    "notices:browser": ("", SIGNED_IN),
    "notices:worker": ("", set(ROLES)),
    "account_logout": ("", SIGNED_IN),
    "accounts:profile": ("", SIGNED_IN),
    "accounts:password": ("", SIGNED_IN),
    "accounts:elsewhere": ("", SIGNED_IN),
    "account_reauthenticate": ("", SIGNED_IN),
    "mfa_reauthenticate_webauthn": ("", SIGNED_IN),
    "account_email": ("", SIGNED_IN),
    "mfa_list_webauthn": ("", SIGNED_IN),
    "mfa_index": ("", SIGNED_IN),
    "mfa_add_webauthn": ("", SIGNED_IN),
    # Coaches, each with their own
    "board:board": ("", COACHES),
    "board:words": ("", COACHES),
    "board:give": ("", COACHES),
    "students:list": ("", COACHES),
    "students:add": ("", COACHES),
    "drills:list": ("", COACHES),
    "drills:add": ("", COACHES),
    "marks:marking_error": ("", COACHES),
    # The coach of this student, lesson, clip, still or drill
    "board:brief": ("student", COACH),
    "board:nudge": ("student", COACH),
    "board:prepare": ("lesson", COACH),
    "board:edit_words": ("words", COACH),
    "board:group": ("group", COACH),
    "questions:begin": ("student", COACH),
    "programmes:add": ("student", COACH),
    "programmes:edit": ("programme", COACH),
    "programmes:reach": ("aim", COACH),
    "programmes:road": ("programme", READERS),
    "students:student": ("student", COACH),
    "students:edit": ("student", COACH),
    "students:archive": ("student", COACH),
    "students:invite": ("student", COACH),
    "students:withdraw": ("student", COACH),
    "students:arrived": ("student", COACH),
    "students:add_guardian": ("junior", COACH),
    "students:edit_guardian": ("guardian", COACH),
    "students:remove_guardian": ("guardian", COACH),
    "students:invite_guardian": ("guardian", COACH),
    "students:withdraw_guardian": ("guardian", COACH),
    "students:guardian_arrived": ("guardian", COACH),
    "students:paper": ("guardian", COACH),
    "students:record_withdrawal": ("guardian", COACH),
    "students:consent": ("guardian", {"guardian"}),
    "students:withdraw_consent": ("guardian", {"guardian"}),
    "visits:add": ("student", COACH),
    "visits:desk": ("lesson", COACH),
    "visits:edit": ("lesson", COACH),
    "clips:shelf": ("lesson", COACH),
    "clips:edit": ("clip", COACH),
    "clips:remove": ("clip", COACH),
    "clips:restore": ("clip", COACH),
    "clips:again": ("clip", COACH),
    "clips:cancel": ("clip", COACH),
    "clips:rate": ("clip", COACH),
    "clips:add_swing": ("clip", COACH),
    "clips:look": ("clip", COACH),
    "clips:cut": ("clip", COACH),
    "clips:cancel_look": ("clip", COACH),
    "clips:cancel_cut": ("cut", COACH),
    "clips:place": ("swing", COACH),
    "clips:positions": ("swing", COACH),
    "clips:undo": ("swing", COACH),
    "clips:keep": ("swing", COACH),
    "clips:remove_swing": ("swing", COACH),
    "clips:restore_swing": ("swing", COACH),
    "clips:take": ("clip", COACH),
    "clips:stills": ("clip", COACH),
    "clips:remove_still": ("still", COACH),
    "clips:restore_still": ("still", COACH),
    "clips:pull_again": ("still", COACH),
    "marks:caption": ("still", COACH),
    "marks:marks": ("still", COACH),
    "marks:sets": ("still", COACH),
    "marks:keep_set": ("still", COACH),
    "marks:copy": ("still", COACH),
    "marks:take_back_copies": ("still", COACH),
    "marks:named_set": ("marks", COACH),
    "marks:remove_set": ("marks", COACH),
    "marks:bring_back_set": ("marks", COACH),
    "marks:measures": ("lesson", COACH),
    "paths:begin": ("clip", COACH),
    "paths:path": ("path", COACH),
    "paths:correct": ("path", COACH),
    "paths:undo": ("path", COACH),
    "paths:again": ("path", COACH),
    "paths:recap": ("path", COACH),
    "paths:scale": ("path", COACH),
    "paths:remove": ("path", COACH),
    "paths:restore": ("path", COACH),
    "pairings:add": ("lesson", COACH),
    "pairings:pairing": ("pairing", COACH),
    "pairings:keep": ("pairing", COACH),
    "pairings:cuts": ("pairing", COACH),
    "pairings:draw": ("side", COACH),
    "pairings:remove": ("pairing", COACH),
    "pairings:restore": ("pairing", COACH),
    "pairings:saved": ("pairing", COACH),
    "pairings:save_still": ("pairing", COACH),
    "pairings:save_film": ("pairing", COACH),
    "pairings:edit": ("saved", COACH),
    "pairings:cancel": ("saved", COACH),
    "pairings:again": ("saved", COACH),
    "pairings:remove_saved": ("saved", COACH),
    "pairings:restore_saved": ("saved", COACH),
    "recaps:recap": ("lesson", COACH),
    "recaps:stills": ("lesson", COACH),
    "recaps:post": ("lesson", COACH),
    "recaps:tell": ("lesson", COACH),
    "drills:drill": ("drill", COACH),
    "drills:edit": ("drill", COACH),
    "drills:renew": ("drill", COACH),
    "drills:archive": ("drill", COACH),
    "drills:drop_clip": ("drill", COACH),
    # What a posted lesson shows its student, and the guardian of a junior
    "recaps:read": ("lesson", READERS),
    "clips:clip": ("clip", READERS),
    "clips:file": ("clip", READERS),
    "clips:swings": ("clip", READERS),
    "clips:chapters": ("clip", READERS),
    "clips:study": ("cut", READERS),
    "clips:picture": ("still", READERS),
    "marks:still": ("still", READERS),
    "marks:marked": ("still", READERS),
    "pairings:file": ("saved", READERS),
    "pairings:poster": ("saved", READERS),
    "drills:given": ("given", READERS),
    # A student asks (or their guardian), and both sides answer
    "questions:thread": ("thread", READERS),
    "questions:reply": ("thread", READERS),
    "questions:ask": ("lesson", {"student"}),
    "questions:check_in": ("student", {"student"}),
    # Practice is the student's (or their guardian's) to log; the coach reads it elsewhere
    "practice:log": ("given", {"student"}),
    "practice:undo": ("log", {"student"}),
    "practice:more": ("log", {"student"}),
    "practice:keep": ("given", {"student"}),
    "practice:today": ("", {"student", "other student", "guardian"}),
    "practice:kit": ("", {"student", "other student", "guardian"}),
    "practice:who": ("", {"student", "other student", "guardian"}),
    "practice:minutes": ("student", {"student"}),
    "practice:remind": ("student", {"student"}),
    "practice:rest": ("student", {"student"}),
    "practice:back": ("student", {"student"}),
    # The web app's own files: the same for everyone, with nothing of anyone in them
    "practice:manifest": ("", set(ROLES)),
    "practice:worker": ("", set(ROLES)),
    "practice:no_signal": ("", set(ROLES)),
}
# Opened by a secret that is tested where it is made
BY_SECRET = {
    "accounts:enter",
    "accounts:invitation",
    "account_confirm_email",
    "notices:off",
    "practice:feed",
}
# Tested where they are: open only at a moment (first run, a code under way), or one's own key
ELSEWHERE = {
    "account_request_login_code": "tests/accounts",
    "mfa_login_webauthn": "tests/accounts",
    "accounts:first": "tests/accounts",
    "account_confirm_login_code": "tests/accounts",
    "account_email_verification_sent": "tests/accounts",
    "mfa_edit_webauthn": "tests/accounts",
    "mfa_remove_webauthn": "tests/accounts",
    "files:uploads": "tests/files",
    "notices:permission": "tests/notices",
    "notices:forget": "tests/notices",
    "files:upload": "tests/files",
}
OF_A_LESSON = {
    "lesson",
    "clip",
    "swing",
    "cut",
    "still",
    "given",
    "log",
    "pairing",
    "side",
    "saved",
    "path",
}


@dataclass
class World:
    """One thing of each kind, and one person of each role."""

    keys: dict[str, int]
    people: dict[str, User | None]


def make_lesson(student, *, posted: bool) -> dict[str, int]:
    """A lesson with all that hangs on it; the key of each."""
    lesson = factories.LessonFactory(student=student, posted=posted)
    picture = io.BytesIO()
    Image.new("RGB", (64, 48), "green").save(picture, "JPEG")
    name = default_storage.save(f"tests/{uuid.uuid4()}.jpg", ContentFile(picture.getvalue()))
    files = dict.fromkeys(("original", "watch", "poster", "strip", "peaks"), name)
    times = default_storage.save(f"tests/{uuid.uuid4()}.json", ContentFile(b"[0, 33333]"))
    clip = factories.ClipFactory(lesson=lesson, ready=True, times=times, **files)
    still = factories.StillFactory(
        clip=clip, state=Still.State.READY, picture=name, width_px=64, height_px=48
    )
    swing = factories.SwingFactory(clip=clip)
    cut = factories.CutFactory(clip=clip, state=Cut.State.READY, study=name)
    saved = factories.SavedPairingFactory(
        pairing__lesson=lesson, state=SavedPairing.State.READY, file=name, poster=name
    )
    factories.RecapFactory(lesson=lesson)
    given = factories.AssignmentFactory(lesson=lesson)
    log = factories.LogFactory(assignment=given, by=student.user)
    keys = {"lesson": lesson, "clip": clip, "still": still, "given": given, "log": log}
    path = factories.PathFactory(swing=swing, still=still, ready=True, in_recap=True)
    keys |= {"path": path, "swing": swing, "cut": cut, "pairing": saved.pairing, "saved": saved}
    keys["side"] = saved.pairing.sides.first()
    return {kind: row.pk for kind, row in keys.items()}


@pytest.fixture
def world(coach, other_coach, student, other_student, guardian) -> World:
    people = {
        "nobody": None,
        "coach": coach,
        "other coach": other_coach,
        "student": student.user,
        "other student": other_student.user,
        "guardian": guardian.user,
    }
    # Each stranger has a lesson of their own, so that nothing is refused for want of one
    make_lesson(other_student, posted=True)
    make_lesson(factories.StudentFactory(coach=other_coach), posted=True)
    aim = factories.AimFactory(programme__student=student)
    keys = {
        "student": student.pk,
        "junior": guardian.student.pk,
        "guardian": guardian.pk,
        "drill": factories.DrillFactory(coach=coach).pk,
        "thread": Thread.objects.create(student=student, about=Thread.About.RECAP).pk,
        "words": factories.NudgeWordsFactory(coach=coach).pk,
        "group": factories.StudentGroupFactory(coach=coach).pk,
        "marks": factories.NamedSetFactory(coach=coach).pk,
        "programme": aim.programme_id,
        "aim": aim.pk,
    }
    return World(keys, people)


def patterns(resolver: URLResolver, space: str = "") -> Iterator[tuple[str, URLPattern]]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            inner = f"{space}{entry.namespace}:" if entry.namespace else space
            yield from patterns(entry, inner)
        else:
            yield f"{space}{entry.name}", entry


def path_of(name: str, keys: dict[str, int]) -> str:
    kind = ADDRESSES[name][0]
    arguments = {"pk": keys[kind]} if kind else {}
    if name == "clips:file":
        arguments["what"] = "watch"
    return reverse(name, kwargs=arguments)


def came_in(response) -> bool:
    """Whether the person got past the door: the page, a form's refusal, or a wrong method."""
    if response.status_code == 302:
        return not response.url.startswith("/accounts/login/")
    return response.status_code not in {401, 403, 404}


def ask(user: User | None, path: str) -> HttpResponse:
    """The answer to GET, or to an empty POST where only that is taken. Changes nothing."""
    with transaction.atomic():
        client = Client()
        if user is not None:
            client.force_login(user)
        answer = client.get(path)
        if answer.status_code == 405:
            answer = client.post(path)
        transaction.set_rollback(True)
    return answer


def ask_all(world: World, names: list[str], keys: dict[str, int]) -> dict[str, set[str]]:
    """For each address, the roles that came in."""
    return {
        name: {role for role in ROLES if came_in(ask(world.people[role], path_of(name, keys)))}
        for name in names
    }


def test_every_address_is_known_here():
    found = {name for name, _ in patterns(get_resolver())}
    assert found == set(ADDRESSES) | BY_SECRET | set(ELSEWHERE)


def test_addresses_without_a_lesson(world: World):
    names = [name for name, (kind, _) in ADDRESSES.items() if kind not in OF_A_LESSON]
    assert ask_all(world, names, world.keys) == {name: ADDRESSES[name][1] for name in names}


def test_what_hangs_on_a_posted_lesson(world: World, student):
    keys = world.keys | make_lesson(student, posted=True)
    names = [name for name, (kind, _) in ADDRESSES.items() if kind in OF_A_LESSON]
    assert ask_all(world, names, keys) == {name: ADDRESSES[name][1] for name in names}


def test_what_hangs_on_a_draft_is_the_coachs_alone(world: World, student):
    keys = world.keys | make_lesson(student, posted=False)
    names = [name for name, (kind, _) in ADDRESSES.items() if kind in OF_A_LESSON]
    expected = {name: ADDRESSES[name][1] & COACH for name in names}
    # A draft has no student's page yet; its preview is the coach's
    expected["recaps:read"] = set()
    assert ask_all(world, names, keys) == expected
    preview = path_of("recaps:read", keys) + "?preview=1"
    assert {role for role in ROLES if came_in(ask(world.people[role], preview))} == COACH


def test_a_guardian_sees_what_a_junior_sees(world: World, guardian):
    keys = world.keys | make_lesson(guardian.student, posted=True)
    names = [name for name, (kind, _) in ADDRESSES.items() if kind in OF_A_LESSON]
    # The junior takes the student's part here, and their guardian sees and does the same
    expected = {
        name: {"guardian" if role == "student" else role for role in ADDRESSES[name][1]}
        for name in names
    }
    assert ask_all(world, names, keys) == expected


def test_a_guardian_sees_nothing_of_one_who_has_grown_up(world: World, guardian):
    keys = world.keys | make_lesson(guardian.student, posted=True)
    guardian.student.born = timezone.localdate().replace(year=timezone.localdate().year - 19)
    guardian.student.save()
    names = [name for name, (kind, _) in ADDRESSES.items() if kind in OF_A_LESSON]
    assert ask_all(world, names, keys) == {name: ADDRESSES[name][1] & COACH for name in names}


@pytest.mark.parametrize("method", ["post", "put", "patch", "delete"])
@pytest.mark.parametrize("posted", [True, False])
def test_no_other_method_lets_a_stranger_in(world: World, student, method: str, posted: bool):
    keys = world.keys | make_lesson(student, posted=posted)
    clients = {role: Client() for role in ROLES}
    for role in SIGNED_IN:
        clients[role].force_login(world.people[role])
    before = Clip.objects.count(), Still.objects.count(), Upload.objects.count()
    for name, (kind, allowed) in ADDRESSES.items():
        if not kind:
            continue
        insiders = allowed if posted or kind not in OF_A_LESSON else allowed & COACH
        for role in set(ROLES) - insiders:
            answer = getattr(clients[role], method)(path_of(name, keys))
            # 405 is the same for everyone, so it tells nothing of the thing
            assert answer.status_code == 405 or not came_in(answer), (name, role, method)
    assert (Clip.objects.count(), Still.objects.count(), Upload.objects.count()) == before


def test_the_original_with_its_place_and_phone_is_the_coachs_alone(world: World, student):
    clip = make_lesson(student, posted=True)["clip"]
    path = reverse("clips:file", args=[clip, "original"])
    assert {r for r in ROLES if came_in(ask(world.people[r], path))} == COACH
