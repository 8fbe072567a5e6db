"""The editor, and the saving of what is typed in it."""

from __future__ import annotations

import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from lessons.recaps.models import Finding, Recap
from tests import factories
from tests.recaps.conftest import finding, given, page, save


@pytest.fixture
def url(lesson):
    return reverse("recaps:recap", args=[lesson.pk])


def test_it_keeps_everything_typed_in_order(as_coach, lesson, recap, drill, still):
    other = factories.StillFactory(clip=still.clip, state="ready")
    slide, early = finding(what="The hips slide", standing="better"), finding(what="Early throw")
    answer = save(
        as_coach,
        lesson,
        page(
            main_point="Turn inside the barrel",
            body="Slowly.",
            findings=[early, slide],
            stills=[{"still": other.pk, "caption": "Now"}, {"still": still.pk, "caption": ""}],
            drills=[given(drill, note="No ball at first", reps=12)],
        ),
    )
    assert answer.json() == {"version": 1}
    recap.refresh_from_db()
    assert (recap.main_point, recap.body) == ("Turn inside the barrel", "Slowly.")
    assert [f.what for f in recap.findings.all()] == ["Early throw", "The hips slide"]
    assert [s.still_id for s in recap.stills.all()] == [other.pk, still.pk]
    assignment = lesson.assignments.get()
    assert (assignment.name, assignment.dose) == ("Sway gate", "3 x 12, 5 days a week")
    assert assignment.note == "No ball at first"


def test_the_same_saving_sent_twice_makes_nothing_twice(as_coach, lesson, recap, drill, still):
    sent = page(
        main_point="One",
        findings=[finding()],
        stills=[{"still": still.pk, "caption": ""}],
        drills=[given(drill)],
    )
    assert save(as_coach, lesson, sent).json() == {"version": 1}
    assert save(as_coach, lesson, sent).json() == {"version": 1}
    assert Finding.objects.count() == 1
    assert lesson.assignments.count() == 1
    assert recap.stills.count() == 1


def test_two_open_pages_do_not_write_over_one_another(as_coach, lesson, recap):
    here, there = str(uuid.uuid4()), str(uuid.uuid4())
    assert save(as_coach, lesson, page(page=here, main_point="From here")).status_code == 200
    answer = save(as_coach, lesson, page(page=there, main_point="From there"))
    assert answer.status_code == 409
    assert answer.json()["version"] == 1
    assert answer.json()["theirs"]["main_point"] == "From here"
    for words in ("From here", "From there", "Keep mine", "Take theirs"):
        assert words in answer.json()["html"]
    recap.refresh_from_db()
    assert recap.main_point == "From here"
    # The one who keeps theirs saves from the version that was shown
    mine = page(page=there, version=1, main_point="From there")
    assert save(as_coach, lesson, mine).json() == {"version": 2}
    assert save(as_coach, lesson, page(page=here, version=1, body="More")).status_code == 409


def test_a_page_whose_answers_got_lost_goes_on(as_coach, lesson, recap):
    here = str(uuid.uuid4())
    for number, words in enumerate(["T", "Tu", "Turn"], 1):
        # The page never heard of a new version: it always speaks of the first
        answer = save(as_coach, lesson, page(page=here, version=0, main_point=words))
        assert answer.json() == {"version": number}
    other = str(uuid.uuid4())
    save(as_coach, lesson, page(page=other, version=3, main_point="Other"))
    lost = page(page=here, version=0, main_point="Turn more")
    assert save(as_coach, lesson, lost).status_code == 409


def test_the_choice_shows_the_words_as_text(as_coach, lesson, recap):
    save(as_coach, lesson, page(main_point="<b>a</b>", page=str(uuid.uuid4())))
    answer = save(as_coach, lesson, page(main_point="<script>b</script>"))
    assert "&lt;b&gt;a" in answer.json()["html"]
    assert "<script>" not in answer.json()["html"]


def test_a_removed_finding_comes_back_by_undo(as_coach, lesson, recap):
    before = finding(what="Came over")
    row = finding()
    save(as_coach, lesson, page(findings=[before, row]))
    save(as_coach, lesson, page(version=1, findings=[before]))
    assert recap.findings.count() == 1
    save(as_coach, lesson, page(version=2, findings=[before, row]))
    assert [str(f.key) for f in recap.findings.all()] == [before["key"], row["key"]]


def test_a_drill_taken_back_and_given_again_is_the_same_assignment(as_coach, lesson, recap, drill):
    row = given(drill)
    save(as_coach, lesson, page(drills=[row]))
    first = lesson.assignments.get()
    save(as_coach, lesson, page(version=1, drills=[]))
    assert not lesson.assignments.holding().exists()
    save(as_coach, lesson, page(version=2, drills=[row]))
    assert lesson.assignments.holding().get() == first


def test_a_given_drill_keeps_its_words_when_the_library_changes(as_coach, lesson, recap, drill):
    row = given(drill)
    save(as_coach, lesson, page(drills=[row]))
    drill.name = "Renamed"
    drill.save()
    save(as_coach, lesson, page(version=1, main_point="x", drills=[row]))
    assert lesson.assignments.get().name == "Sway gate"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ({"main_point": "x" * 201}, "Shorten the main point to 200 letters."),
        ({"findings": [finding(what="x" * 201)]}, "Shorten the finding to 200 letters."),
        ({"findings": [finding(standing="cured")]}, "cured is not one of the available choices"),
        ({"findings": [finding(key="x")]}, "A row could not be read."),
        ({"findings": "x"}, "The page could not be read."),
        ({"findings": [1]}, "The page could not be read."),
        ({"body": "x" * 20_001}, "Shorten this to 20,000 letters; it has 20001."),
        ({"findings": [finding(why="x" * 2001)]}, "Shorten this to 2,000 letters"),
        ({"body": "a\x00b"}, "Null characters are not allowed."),
        ({"findings": [finding() for _ in range(61)]}, "A recap holds up to 60 findings."),
    ],
)
def test_it_says_what_can_not_be_kept(as_coach, lesson, recap, content, words):
    answer = save(as_coach, lesson, page(**content))
    assert answer.status_code == 422
    assert words in " ".join(error["message"] for error in answer.json()["errors"])
    recap.refresh_from_db()
    assert recap.version == 0


@pytest.mark.parametrize(
    ("dose", "words"),
    [
        ({"reps": 0}, "Write 1 or more."),
        ({"sets": 21}, "Write 20 or less."),
        ({"days_a_week": None}, "required"),
        ({"minutes": "ten"}, "whole number"),
    ],
)
def test_it_says_at_the_row_what_is_wrong_with_a_dose(as_coach, lesson, recap, drill, dose, words):
    row = given(drill, **dose)
    answer = save(as_coach, lesson, page(drills=[row]))
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["row"] == row["key"]
    assert words in error["message"]


@pytest.mark.parametrize("body", ["", "[]", "7", "{}", '{"version": "x", "page": "y"}', "\xff"])
def test_it_refuses_what_is_no_page(as_coach, url, recap, body):
    answer = as_coach.put(url, body, content_type="application/json")
    assert answer.status_code == 422
    assert "Reload it" in answer.json()["errors"][0]["message"]


@pytest.mark.parametrize("version", [-1, 10**30])
def test_a_version_that_never_was_is_a_choice_not_an_error(as_coach, lesson, recap, version):
    assert save(as_coach, lesson, page(version=version, main_point="x")).status_code == 409


def test_it_gives_no_drill_of_another_coach(as_coach, lesson, recap):
    foreign = factories.DrillFactory()
    answer = save(as_coach, lesson, page(drills=[given(foreign)]))
    assert answer.status_code == 422
    assert not lesson.assignments.exists()


def test_it_takes_no_still_of_another_student(as_coach, lesson, recap, other_student):
    clip = factories.ClipFactory(lesson__student=other_student, ready=True)
    foreign = factories.StillFactory(clip=clip, state="ready")
    save(as_coach, lesson, page(main_point="x", stills=[{"still": foreign.pk, "caption": ""}]))
    assert not recap.stills.exists()


def test_it_takes_no_key_of_another_lessons_assignment(as_coach, lesson, recap, drill):
    other = factories.AssignmentFactory(lesson__student=lesson.student, drill=drill)
    row = given(drill, key=str(other.key), note="Mine now")
    assert save(as_coach, lesson, page(drills=[row])).status_code == 200
    other.refresh_from_db()
    assert other.note == ""
    assert lesson.assignments.get() != other


def test_a_finding_of_another_student_is_nothing_to_come_from(as_coach, lesson, recap):
    foreign = factories.FindingFactory()
    save(as_coach, lesson, page(findings=[finding(came_from=foreign.pk)]))
    assert recap.findings.get().came_from is None


def test_it_is_edited_only_when_the_content_changed_after_posting(as_coach, lesson, recap):
    save(as_coach, lesson, page(main_point="One"))
    recap.refresh_from_db()
    assert recap.edited_at is None
    lesson.mark_posted()
    save(as_coach, lesson, page(version=1, main_point="One"))
    recap.refresh_from_db()
    assert recap.edited_at is None
    save(as_coach, lesson, page(version=1, main_point="Two"))
    recap.refresh_from_db()
    assert timezone.now() - recap.edited_at < timezone.timedelta(minutes=1)


def test_the_editor_shows_what_is_stored(as_coach, url, lesson, recap, drill, still):
    save(
        as_coach,
        lesson,
        page(main_point="Turn", findings=[finding(why="Late")], drills=[given(drill)]),
    )
    full = as_coach.get(url).content.decode()
    part = as_coach.get(url, headers={"HX-Request": "true"}).content.decode()
    for words in ("Turn", "The hips slide", "Late", "Sway gate", 'data-version="1"'):
        assert words in full
        assert words in part
    assert "<html" in full
    assert "<html" not in part
    assert f'data-put-still="{still.pk}"' in part


def test_the_desk_shows_the_editor(as_coach, lesson):
    desk = as_coach.get(reverse("visits:desk", args=[lesson.pk])).content.decode()
    assert "<recap-editor" in desk
    assert "recaps/editor.js" in desk
    assert Recap.objects.filter(lesson=lesson).count() == 1


def test_it_refuses_everybody_but_the_lessons_coach(
    as_other_coach, as_student, as_other_student, url, posted_lesson
):
    theirs = reverse("recaps:recap", args=[posted_lesson.pk])
    for client in (as_other_coach, as_student, as_other_student):
        for address in (url, theirs):
            assert client.get(address).status_code == 404
            assert client.put(address, page(), content_type="application/json").status_code == 404
    assert not Recap.objects.exists()


def test_it_sends_the_signed_out_to_sign_in(as_nobody, url):
    assert as_nobody.get(url).status_code == 302
    assert as_nobody.put(url, page(), content_type="application/json").status_code == 302


def test_it_rejects_post_and_delete(as_coach, url):
    assert as_coach.post(url).status_code == 405
    assert as_coach.delete(url).status_code == 405
