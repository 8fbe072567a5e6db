"""Reading and keeping marks: GET and PUT /stills/<pk>/marks/."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from lessons.clips.models import Still
from lessons.marks.models import MarkSet
from lessons.marks.service import OtherVersion, save_marks
from tests.marks.conftest import HEIGHT, WIDTH, line

SIZE = {"width": WIDTH, "height": HEIGHT}


def address(still: Still) -> str:
    return reverse("marks:marks", args=[still.pk])


def put(client: Client, still: Still, sent: Any) -> Any:
    body = sent if isinstance(sent, str) else json.dumps(sent)
    return client.put(address(still), body, content_type="application/json")


def test_it_reads_a_still_without_marks(as_coach: Client, still: Still):
    assert as_coach.get(address(still)).json() == {"version": 0, "marks": [], **SIZE}


def test_it_keeps_marks_and_counts_versions(as_coach: Client, still: Still):
    assert put(as_coach, still, {"version": 0, "marks": [line()]}).json() == {"version": 1}
    assert put(as_coach, still, {"version": 1, "marks": []}).json() == {"version": 2}
    assert as_coach.get(address(still)).json() == {"version": 2, "marks": [], **SIZE}


def test_it_does_not_overwrite_another_window(as_coach: Client, still: Still):
    put(as_coach, still, {"version": 0, "marks": [line()]})
    answer = put(as_coach, still, {"version": 0, "marks": [line(id="b2")]})
    assert answer.status_code == 409
    assert answer.json()["version"] == 1
    assert [mark["id"] for mark in answer.json()["marks"]] == ["a1"]
    assert MarkSet.objects.get().version == 1


def test_sending_the_same_again_is_no_conflict(as_coach: Client, still: Still):
    """The first answer was lost on the way: the marks are kept, once."""
    put(as_coach, still, {"version": 0, "marks": [line()]})
    answer = put(as_coach, still, {"version": 0, "marks": [line()]})
    assert (answer.status_code, answer.json()) == (200, {"version": 1})


def test_two_at_once_one_wins(still: Still):
    MarkSet.objects.create(still=still)
    first, second = MarkSet.objects.get(), MarkSet.objects.get()
    assert first.replace(0, [line()])
    assert not second.replace(0, [])
    assert second.marks == [line()]
    with pytest.raises(OtherVersion):
        save_marks(still, 0, [])


@pytest.mark.parametrize(
    ("sent", "status", "sentence"),
    [
        ("{", 400, "did not arrive whole"),
        ("[]", 400, "did not arrive whole"),
        ("null", 400, "did not arrive whole"),
        ("\x00\x01", 400, "did not arrive whole"),
        ('{"marks": []}', 400, "did not arrive whole"),
        ("[" * 20000, 400, "did not arrive whole"),
        ({"version": "1", "marks": []}, 422, "which version"),
        ({"version": True, "marks": []}, 422, "which version"),
        ({"version": -1, "marks": []}, 422, "which version"),
        ({"version": 0}, 422, "as a list"),
        ({"version": 0, "marks": [line(kind="spiral")]}, 422, "no known kind"),
        ('{"version": 0, "marks": [{"id": "a", "kind": "line", "colour": "#E69F00", '
         '"points": [[NaN, 1], [2, 3]]}]}', 422, "no pair of numbers"),
    ],
)  # fmt: skip
def test_it_refuses_bad_input(
    as_coach: Client, still: Still, sent: Any, status: int, sentence: str
):
    answer = put(as_coach, still, sent)
    assert answer.status_code == status
    assert sentence in answer.json()["detail"]
    assert not MarkSet.objects.exists()


def test_it_refuses_a_body_that_is_too_large(as_coach: Client, still: Still):
    answer = put(as_coach, still, '{"version": 0, "marks": "' + "x" * 3_000_000 + '"}')
    assert answer.status_code == 413
    assert "too much drawing" in answer.json()["detail"]


def test_it_refuses_a_still_that_is_not_ready(as_coach: Client, still: Still):
    Still.objects.update(state=Still.State.WANTED)
    answer = put(as_coach, still, {"version": 0, "marks": [line()]})
    assert answer.status_code == 422
    assert "not ready" in answer.json()["detail"]


def test_it_refuses_other_methods(as_coach: Client, still: Still):
    assert as_coach.post(address(still)).status_code == 405
    assert as_coach.delete(address(still)).status_code == 405


def test_it_sends_nobody_to_the_sign_in(as_nobody: Client, still: Still):
    assert put(as_nobody, still, {"version": 0, "marks": [line()]}).status_code == 302
    assert not MarkSet.objects.exists()


@pytest.mark.parametrize("who", ["as_student", "as_other_student", "as_guardian", "as_other_coach"])
def test_it_is_hidden_from_all_but_the_coach(
    request: pytest.FixtureRequest, posted_still: Still, who: str
):
    client = request.getfixturevalue(who)
    assert client.get(address(posted_still)).status_code == 404
    assert put(client, posted_still, {"version": 0, "marks": [line()]}).status_code == 404
    assert not MarkSet.objects.exists()


def test_it_is_guarded_against_forged_requests(coach: Any, still: Still):
    client = Client(enforce_csrf_checks=True)
    client.force_login(coach)
    assert put(client, still, {"version": 0, "marks": []}).status_code == 403
