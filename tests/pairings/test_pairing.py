"""pairings:pairing, keep, cuts, remove, restore: the pairing on the stage, and how it is shown."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips.models import Cut, Swing
from lessons.pairings.models import Pairing
from lessons.pairings.pages import as_json
from lessons.pairings.sides import sides_of
from tests import factories
from tests.marks.conftest import line, make_still


def address(name: str, pairing: Pairing) -> str:
    return reverse(f"pairings:{name}", args=[pairing.pk])


def settings_of(pairing: Pairing) -> dict[str, Any]:
    """What the page holds, and sends along with the version that it has read."""
    pairing.refresh_from_db()
    return as_json(pairing, sides_of(pairing))["settings"]


def keep(client: Client, pairing: Pairing, sent: Any, version: int | None = None) -> Any:
    """Send settings from a page that has read a version; without one, the kept one."""
    pairing.refresh_from_db()
    body = {"version": pairing.version if version is None else version, **sent}
    return client.post(address("keep", pairing), json.dumps(body), content_type="application/json")


def test_it_shows_the_swings_on_the_desk(as_coach: Client, pairing: Pairing):
    page = as_coach.get(address("pairing", pairing)).content.decode()
    for side in pairing.sides.all():
        assert f'data-side="{side.pk}"' in page
        assert reverse("clips:file", args=[side.clip_id, "watch"]) in page
    assert "lesson-desk" in page


def test_it_warns_of_clips_from_other_camera_places(as_coach: Client, pairing: Pairing):
    words = "not all from the same camera place"
    assert words not in as_coach.get(address("pairing", pairing)).content.decode()
    clip = pairing.sides.first().clip
    clip.view = clip.View.DOWN_THE_LINE
    clip.save()
    assert words in as_coach.get(address("pairing", pairing)).content.decode()


def test_the_marks_of_a_swings_stills_come_with_it(as_coach: Client, pairing: Pairing):
    side = pairing.sides.first()
    still = make_still(pairing.lesson, clip=side.clip, time_us=side.swing.strike_us)
    factories.MarkSetFactory(still=still, marks=[line()])
    page = as_coach.get(address("pairing", pairing)).content.decode()
    assert page.count(f'data-time-us="{still.time_us}"') == 2  # as filmed, and mirrored


def test_marks_of_another_swing_stay_away(as_coach: Client, pairing: Pairing):
    side = pairing.sides.first()
    still = make_still(pairing.lesson, clip=side.clip, time_us=side.swing.finish_us + 400_000)
    factories.MarkSetFactory(still=still, marks=[line()])
    assert "data-time-us" not in as_coach.get(address("pairing", pairing)).content.decode()


def test_it_says_where_a_position_is_not_known(as_coach: Client, pairing: Pairing):
    Swing.objects.update(top_us=None, strike_us=None)
    assert (
        "is not known in this swing" in as_coach.get(address("pairing", pairing)).content.decode()
    )


def test_a_removed_clip_is_told_and_comes_back(as_coach: Client, pairing: Pairing):
    clip = pairing.sides.first().clip
    clip.remove()
    assert "Bring it back" in as_coach.get(address("pairing", pairing)).content.decode()
    clip.bring_back()
    assert "swings-beside" in as_coach.get(address("pairing", pairing)).content.decode()


def test_a_swing_that_was_removed_leaves_its_clip(pairing: Pairing):
    side = pairing.sides.first()
    side.swing.remove()
    [first, _] = sides_of(pairing)
    assert (first.row.swing, first.positions) == (None, [])
    assert first.span_us == (0, side.clip.duration_us)


def test_it_keeps_how_it_is_shown(as_coach: Client, pairing: Pairing):
    sent = settings_of(pairing)
    sent |= {"at": "P4", "by_position": True, "over": True, "opacity_percent": 30}
    sent |= {"zoom_percent": 150, "with_marks": False}
    sent["sides"][0] |= {"mirrored": True, "points": [[0.5, 0.2], [0.5, 0.9]], "caption": "Now"}
    sent["sides"][1] |= {"aligned_us": 700_000}
    sent["sides"].reverse()
    assert keep(as_coach, pairing, sent).json() == {"version": 1}
    assert settings_of(pairing) == sent


def test_another_windows_settings_are_not_overwritten(as_coach: Client, pairing: Pairing):
    mine = settings_of(pairing)
    theirs = {**mine, "at": "P4"}
    theirs["sides"] = [{**mine["sides"][1], "caption": "Theirs"}, mine["sides"][0]]
    assert keep(as_coach, pairing, theirs, 0).json() == {"version": 1}
    answer = keep(as_coach, pairing, {**mine, "over": True}, 0)
    assert (answer.status_code, answer.json()) == (409, {"version": 1, "settings": theirs})
    assert settings_of(pairing) == theirs
    # having seen theirs, the coach may keep their own
    assert keep(as_coach, pairing, {**mine, "over": True}, 1).json() == {"version": 2}
    assert settings_of(pairing) == {**mine, "over": True}


def test_sending_what_is_kept_once_more_is_no_conflict(as_coach: Client, pairing: Pairing):
    sent = settings_of(pairing) | {"zoom_percent": 200}
    sent["sides"][0] |= {"points": [[0, 0.2], [1, 0.9]], "caption": "Now"}
    for _ in range(2):  # the answer to the first got lost
        assert keep(as_coach, pairing, sent, 0).json() == {"version": 1}


def test_an_older_page_that_was_overtaken_keeps_no_swing_either(as_coach: Client, pairing: Pairing):
    before = settings_of(pairing)
    keep(as_coach, pairing, {**before, "over": True})
    older = json.loads(json.dumps(before))
    older["sides"][0]["mirrored"] = True
    assert keep(as_coach, pairing, older, 0).status_code == 409
    assert not pairing.sides.filter(mirrored=True).exists()


@pytest.mark.parametrize("version", ["", "0", None, -1, 0.5, True, [], 2**80])
def test_it_refuses_a_version_that_can_not_be_read(
    as_coach: Client, pairing: Pairing, version: Any
):
    sent = {**settings_of(pairing), "over": True, "version": version}
    answer = as_coach.post(address("keep", pairing), sent, content_type="application/json")
    assert answer.status_code in {409, 422}
    assert not settings_of(pairing)["over"]


def test_what_is_unset_again_is_unset(as_coach: Client, pairing: Pairing):
    before = settings_of(pairing)
    after = json.loads(json.dumps(before))
    after["sides"][0] |= {"mirrored": True, "points": [[0.1, 0.2], [0.3, 0.9]], "aligned_us": 5}
    for sent in (after, before):
        assert keep(as_coach, pairing, sent).status_code == 200
    assert settings_of(pairing) == before


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"at": "P11"}, "P11"),
        ({"opacity_percent": 101}, "100"),
        ({"zoom_percent": 99}, "100"),
        ({"zoom_percent": "close"}, "number"),
    ],
)
def test_it_says_what_can_not_be_kept(
    as_coach: Client, pairing: Pairing, change: dict[str, Any], words: str
):
    before = settings_of(pairing)
    answer = keep(as_coach, pairing, before | change)
    assert answer.status_code == 422
    assert words in answer.json()["detail"]
    assert settings_of(pairing) == before


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"points": [[0.5, 0.5], [0.5, 0.505]]}, "too near"),
        ({"points": [[0.5, -0.1], [0.5, 0.9]]}, "on the picture"),
        ({"points": [[0.5, float("nan")], [0.5, 0.9]]}, "on the picture"),
        ({"points": [[0.5, 0.5]]}, "could not be read"),
        ({"points": "[[0,0],[1,1]]"}, "could not be read"),
        ({"points": [["a", 0], [1, 1]]}, "could not be read"),
        ({"aligned_us": 99_000_000}, "behind the end"),
        ({"aligned_us": -1}, "0"),
        ({"caption": "x" * 81}, "80 letters"),
    ],
)
def test_it_says_what_is_wrong_with_a_swing(
    as_coach: Client, pairing: Pairing, change: dict[str, Any], words: str
):
    sent = settings_of(pairing)
    sent["sides"][1] |= change
    answer = keep(as_coach, pairing, sent)
    assert answer.status_code == 422
    assert words in answer.json()["detail"]


@pytest.mark.parametrize(
    "body", ["", "nonsense", "[]", "{}", '{"sides": 3}', '{"sides": [1]}', "[" * 100_000]
)
def test_it_refuses_what_can_not_be_read(as_coach: Client, pairing: Pairing, body: str):
    answer = as_coach.post(address("keep", pairing), body, content_type="application/json")
    assert answer.status_code in {400, 422}
    assert "Reload the page" in answer.json()["detail"]


def test_it_takes_no_swing_of_another_pairing(as_coach: Client, pairing: Pairing):
    other = factories.PairingFactory(lesson=pairing.lesson)
    sent = settings_of(pairing)
    sent["sides"][0]["id"] = other.sides.first().pk
    assert keep(as_coach, pairing, sent).status_code == 422


def test_a_removed_one_is_offered_back(as_coach: Client, pairing: Pairing):
    answer = as_coach.post(address("remove", pairing), follow=True)
    assert address("restore", pairing) in answer.content.decode()
    assert as_coach.get(address("pairing", pairing)).status_code == 404
    answer = as_coach.post(address("restore", pairing))
    assert answer.url == address("pairing", pairing)
    assert as_coach.get(answer.url).status_code == 200


def test_the_cuts_are_asked_for_until_they_are_there(as_coach: Client, pairing: Pairing):
    clips = [side.clip for side in pairing.sides.all()]
    cuts = [factories.CutFactory(clip=clip) for clip in clips]
    assert "every 2s" in as_coach.get(address("cuts", pairing)).content.decode()
    Cut.objects.filter(pk__in=[cut.pk for cut in cuts]).update(state=Cut.State.READY)
    page = as_coach.get(address("cuts", pairing)).content.decode()
    assert "every 2s" not in page
    assert reverse("clips:study", args=[cuts[0].pk]) in page


def test_a_failed_cut_says_why(as_coach: Client, pairing: Pairing):
    clip = pairing.sides.first().clip
    factories.CutFactory(clip=clip, state=Cut.State.FAILED, reason="Most of it is damaged.")
    assert "Most of it is damaged." in as_coach.get(address("cuts", pairing)).content.decode()


WAYS = [
    ("pairing", "get"),
    ("keep", "post"),
    ("cuts", "get"),
    ("remove", "post"),
    ("restore", "post"),
]


@pytest.mark.parametrize(("name", "method"), WAYS)
@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_it_refuses_all_but_the_coach(
    who: str, request: pytest.FixtureRequest, pairing: Pairing, name: str, method: str
):
    answer = getattr(request.getfixturevalue(who), method)(address(name, pairing))
    assert answer.status_code == 404


@pytest.mark.parametrize(("name", "method"), WAYS)
def test_it_sends_the_signed_out_to_sign_in(
    as_nobody: Client, pairing: Pairing, name: str, method: str
):
    answer = getattr(as_nobody, method)(address(name, pairing))
    assert answer.url.startswith("/accounts/login/")


@pytest.mark.parametrize(("name", "method"), WAYS)
def test_it_refuses_another_method(as_coach: Client, pairing: Pairing, name: str, method: str):
    other = "post" if method == "get" else "get"
    assert getattr(as_coach, other)(address(name, pairing)).status_code == 405


def draws(client: Client, pairing: Pairing, **sent: str) -> Any:
    side = pairing.sides.first()
    return client.post(reverse("pairings:draw", args=[side.pk]), sent, follow=True)


def test_the_shown_frame_is_pulled_to_be_drawn_on(as_coach: Client, filmed: Pairing):
    answer = draws(as_coach, filmed, time_us="600000", position="P7")
    still = filmed.sides.first().clip.stills.get()
    assert answer.redirect_chain == [
        (f"{reverse('marks:still', args=[still.pk])}?from={filmed.pk}", 302)
    ]
    assert (still.position, still.time_us <= 600_000) == ("P7", True)


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"time_us": ""}, "missing"),
        ({"time_us": "now"}, "number"),
        ({"time_us": "99000000"}, "there is no frame"),
        ({"time_us": "5", "position": "P11"}, "P1 to P10"),
    ],
)
def test_it_says_why_no_frame_can_be_drawn_on(
    as_coach: Client, filmed: Pairing, sent: dict[str, str], words: str
):
    page = draws(as_coach, filmed, **sent).content.decode()
    assert words in page
    assert not filmed.sides.first().clip.stills.exists()


@pytest.mark.parametrize("who", ["as_other_coach", "as_student", "as_guardian"])
def test_nobody_else_draws(who: str, request: pytest.FixtureRequest, pairing: Pairing):
    assert draws(request.getfixturevalue(who), pairing, time_us="5").status_code == 404
