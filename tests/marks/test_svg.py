"""What a still's marks say in words."""

from __future__ import annotations

from lessons.clips.models import Still
from lessons.marks.service import save_marks
from lessons.marks.svg import drawing_of
from tests.marks.conftest import line


def test_the_alternative_text_names_the_still_and_its_marks(still: Still):
    still.position = Still._meta.get_field("position").choices[3][0]
    save_marks(
        still,
        0,
        [
            line(id="a", kind="angle", points=[[10, 0], [0, 0], [10, 10]]),
            line(id="b"),
            line(id="c", kind="label", points=[[5, 5]], text="Hips back"),
        ],
    )
    assert drawing_of(still).alt == "P4 top. Marked: angle, 45 degrees; line; label: Hips back."


def test_without_marks_it_is_the_title(still: Still):
    still.caption = "Head still."
    assert drawing_of(still).alt == "Head still."


def test_it_knows_whether_a_caution_is_due(still: Still):
    assert not drawing_of(still).has_measure
    save_marks(still, 0, [line(kind="angle", points=[[10, 0], [0, 0], [10, 10]])])
    assert drawing_of(still).has_measure
