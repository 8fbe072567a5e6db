"""Setting a path right and taking that back: POST /paths/<pk>/correct/ and /undo/."""

from __future__ import annotations

import json
import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import escape

from lessons.paths import service
from lessons.paths.models import MOST_BOXES, Path
from tests.paths.conftest import STAGE, box


def address(path: Path, what: str = "correct") -> str:
    return reverse(f"paths:{what}", args=[path.pk])


def correction(**values: Any) -> dict[str, Any]:
    return box(time_us=1_000_000, version=0, **values)


def test_it_is_followed_anew_with_the_correction(
    as_coach: Client, path: Path, no_worker: list[int], django_capture_on_commit_callbacks: Any
):
    with django_capture_on_commit_callbacks(execute=True):
        answer = as_coach.post(address(path), correction())
    assert answer["Location"] == reverse("paths:path", args=[path.pk])
    path.refresh_from_db()
    assert [b["time_us"] for b in path.boxes] == [500_000, 1_000_000]
    assert path.state == Path.State.WANTED
    assert no_worker == [path.pk]


def test_boxes_at_several_frames_go_in_together(as_coach: Client, path: Path):
    others = [box(time_us=700_000), box(time_us=800_000, x=610)]
    as_coach.post(address(path), correction(others=json.dumps(others)))
    path.refresh_from_db()
    assert [b["time_us"] for b in path.boxes] == [500_000, 700_000, 800_000, 1_000_000]
    assert path.version == 1


def test_a_refusal_brings_every_box_back(as_coach: Client, path: Path):
    others = json.dumps([box(time_us=700_000)])
    sent = correction(width="2", x="640.25", others=others)
    answer = as_coach.post(address(path), sent, headers=STAGE)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'data-time-us="1000000"' in page
    assert 'name="x" data-field="x" value="640.25"' in " ".join(page.split())
    assert f'value="{escape(others)}"' in page


def test_a_correction_at_the_same_frame_takes_the_others_place(as_coach: Client, path: Path):
    as_coach.post(address(path), correction())
    as_coach.post(address(path), {**correction(x=700), "version": 1})
    path.refresh_from_db()
    assert [b["x"] for b in path.boxes] == [600, 700]


def test_the_first_box_can_be_set_right_too(as_coach: Client, path: Path):
    as_coach.post(address(path), {**box(x=610), "version": 0})
    path.refresh_from_db()
    assert [b["x"] for b in path.boxes] == [610]


def test_a_worker_that_follows_the_old_boxes_loses_its_lease(as_coach: Client, path: Path):
    Path.objects.update(state=Path.State.FOLLOWING, lease_token=uuid.uuid4(), attempts=3)
    as_coach.post(address(path), correction())
    path.refresh_from_db()
    assert path.lease_token is None
    assert path.attempts == 0


def test_it_changes_nothing_if_the_path_was_changed_elsewhere(as_coach: Client, path: Path):
    as_coach.post(address(path), correction())
    answer = as_coach.post(address(path), correction(x=900))
    assert answer.status_code == 422
    assert "changed in another window" in answer.content.decode()
    path.refresh_from_db()
    assert len(path.boxes) == 2
    assert path.boxes[1]["x"] == 640


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"x": "x"}, "did not arrive whole"),
        ({"width": "2"}, "too small"),
        ({"version": "x"}, "Reload it"),
        ({"version": ""}, "Reload it"),
        ({"version": "-1"}, "Reload it"),
        ({"time_us": "2900000"}, "outside of the path"),
        ({"others": "[{"}, "did not arrive whole"),
        ({"others": "[3]"}, "did not arrive whole"),
        ({"others": "{}"}, "did not arrive whole"),
        ({"others": '[{"time_us": 1, "x": 640, "y": 180, "width": 3, "height": 9}]'}, "too small"),
    ],
)
def test_it_says_what_is_wrong(as_coach: Client, path: Path, sent: dict[str, str], said: str):
    answer = as_coach.post(address(path), {**correction(), **sent}, headers=STAGE)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    path.refresh_from_db()
    assert len(path.boxes) == 1
    assert path.is_ready


def test_there_is_an_end_to_corrections(path: Path):
    path.boxes = [box(time_us=500_000 + n) for n in range(MOST_BOXES)]
    with pytest.raises(service.NotPossible, match="often enough"):
        service.correct_path(path, [box(time_us=1_000_000)], 0)


def test_undo_takes_the_last_correction_back(as_coach: Client, path: Path):
    as_coach.post(address(path), correction())
    answer = as_coach.post(address(path, "undo"), {"version": 1})
    assert answer["Location"] == reverse("paths:path", args=[path.pk])
    path.refresh_from_db()
    assert [b["time_us"] for b in path.boxes] == [500_000]
    assert path.in_flight


def test_undo_says_that_nothing_is_left(as_coach: Client, path: Path):
    answer = as_coach.post(address(path, "undo"), {"version": 0})
    assert answer.status_code == 422
    assert "no correction left" in answer.content.decode()


def test_undo_changes_nothing_if_the_path_was_changed_elsewhere(as_coach: Client, path: Path):
    as_coach.post(address(path), correction())
    assert as_coach.post(address(path, "undo"), {"version": 0}).status_code == 422
    assert as_coach.post(address(path, "undo"), {}).status_code == 422
    path.refresh_from_db()
    assert len(path.boxes) == 2


@pytest.mark.parametrize("what", ["correct", "undo"])
@pytest.mark.parametrize("who", ["as_student", "as_other_student", "as_guardian", "as_other_coach"])
def test_it_is_for_the_coach_alone(request: Any, path: Path, who: str, what: str):
    client = request.getfixturevalue(who)
    assert client.post(address(path, what), correction()).status_code == 404


@pytest.mark.parametrize("what", ["correct", "undo"])
def test_it_refuses_other_methods_and_nobody(
    as_coach: Client, as_nobody: Client, path: Path, what: str
):
    assert as_coach.get(address(path, what)).status_code == 405
    assert as_nobody.post(address(path, what)).status_code == 302
