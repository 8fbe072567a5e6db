"""What can be laid over a still: GET /stills/<pk>/sets/, and keeping, fetching, removing sets."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips.models import Still
from lessons.marks.models import NamedSet
from lessons.marks.service import save_marks
from portal.accounts.models import User
from tests import factories
from tests.marks.conftest import HEIGHT, WIDTH, line, make_still


def listed(client: Client, still: Still) -> str:
    return client.get(reverse("marks:sets", args=[still.pk])).content.decode()


def test_it_offers_the_same_players_marked_stills(as_coach: Client, still: Still):
    same_clip = factories.StillFactory(
        clip=still.clip, time_us=still.time_us + 1, state=Still.State.READY, width_px=9, height_px=9
    )
    save_marks(same_clip, 0, [line(points=[[1, 1], [5, 5]])])
    earlier = make_still(factories.LessonFactory(student=still.clip.lesson.student))
    save_marks(earlier, 0, [line()])
    others = make_still(factories.LessonFactory(student__coach=still.clip.coach))
    save_marks(others, 0, [line()])
    bare = make_still(still.clip.lesson)
    page = listed(as_coach, still)
    addresses = [reverse("marks:marks", args=[s.pk]) for s in (same_clip, earlier, others, bare)]
    assert [address in page for address in addresses] == [True, True, False, False]
    assert page.index(addresses[0]) < page.index(addresses[1])


def test_it_says_how_to_begin(as_coach: Client, still: Still):
    assert "There are no other marks yet" in listed(as_coach, still)


def test_marks_are_kept_under_a_name_and_fetched(as_coach: Client, still: Still):
    save_marks(still, 0, [line(text="Spine", shows="upright")])
    answer = as_coach.post(reverse("marks:keep_set", args=[still.pk]), {"name": "  My  lines "})
    assert "Kept as My lines." in answer.content.decode()
    kept = NamedSet.objects.get()
    assert as_coach.get(reverse("marks:named_set", args=[kept.pk])).json() == {
        "marks": [{**line(text="Spine", shows="upright")}],
        "width": WIDTH,
        "height": HEIGHT,
    }
    assert reverse("marks:named_set", args=[kept.pk]) in listed(as_coach, still)


@pytest.mark.parametrize(
    ("drawn", "name", "sentence"),
    [
        (True, "", "Give the set a name."),
        (True, "x" * 61, "at most 60"),
        (True, "Taken", "You have a set of this name"),
        (False, "Lines", "Nothing is drawn on this still yet"),
    ],
)
def test_it_refuses_bad_input(
    as_coach: Client, coach: User, still: Still, drawn: bool, name: str, sentence: str
):
    factories.NamedSetFactory(coach=coach, name="Taken")
    if drawn:
        save_marks(still, 0, [line()])
    answer = as_coach.post(reverse("marks:keep_set", args=[still.pk]), {"name": name})
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert NamedSet.objects.count() == 1


def test_removing_can_be_undone(as_coach: Client, coach: User):
    kept = factories.NamedSetFactory(coach=coach)
    remove, back = (reverse(f"marks:{n}", args=[kept.pk]) for n in ("remove_set", "bring_back_set"))
    assert "is removed" in as_coach.post(remove).content.decode()
    assert as_coach.get(reverse("marks:named_set", args=[kept.pk])).status_code == 404
    for _ in range(2):
        assert "Remove" in as_coach.post(back).content.decode()
        assert as_coach.get(reverse("marks:named_set", args=[kept.pk])).status_code == 200


def test_a_name_taken_meanwhile_is_not_taken_back(as_coach: Client, coach: User):
    kept = factories.NamedSetFactory(coach=coach, name="Lines")
    kept.remove()
    factories.NamedSetFactory(coach=coach, name="Lines")
    answer = as_coach.post(reverse("marks:bring_back_set", args=[kept.pk]))
    assert "Another set has its name" in answer.content.decode()
    assert NamedSet.objects.visible_to(coach).count() == 1


@pytest.mark.parametrize("who", ["as_student", "as_other_coach", "as_guardian"])
def test_they_are_the_coachs_own(
    request: pytest.FixtureRequest, coach: User, posted_still: Still, who: str
):
    client = request.getfixturevalue(who)
    kept = factories.NamedSetFactory(coach=coach)
    assert client.get(reverse("marks:named_set", args=[kept.pk])).status_code == 404
    assert client.post(reverse("marks:remove_set", args=[kept.pk])).status_code == 404
    assert client.post(reverse("marks:bring_back_set", args=[kept.pk])).status_code == 404
    assert client.get(reverse("marks:sets", args=[posted_still.pk])).status_code == 404
    keep = reverse("marks:keep_set", args=[posted_still.pk])
    assert client.post(keep, {"name": "x"}).status_code == 404


def test_they_refuse_other_methods_and_nobody(as_coach: Client, as_nobody: Client, still: Still):
    kept = factories.NamedSetFactory(coach=still.clip.coach)
    for name, key in [("keep_set", still), ("remove_set", kept), ("bring_back_set", kept)]:
        address = reverse(f"marks:{name}", args=[key.pk])
        assert as_coach.get(address).status_code == 405
        assert as_nobody.post(address).status_code == 302
    for name, key in [("sets", still), ("named_set", kept)]:
        address = reverse(f"marks:{name}", args=[key.pk])
        assert as_coach.post(address).status_code == 405
        assert as_nobody.get(address).status_code == 302
