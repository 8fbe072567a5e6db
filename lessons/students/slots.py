"""Places on a page that higher rooms fill: the page knows the place, not who fills it.

A room registers in its AppConfig.ready: `DESK_CLIPS.fill("clips/_shelf.html", shelf_context)`;
the page renders with `{% slot "desk.clips" lesson %}` (templatetags/slots.py).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.http import HttpRequest

Context = Callable[[HttpRequest, Any], dict[str, object]]


@dataclass
class Slot:
    """A named place about one thing (`subject`); what fills it is shown in the order given."""

    name: str
    subject: str
    fillings: list[tuple[int, str, Context]] = field(default_factory=list)

    def fill(self, template: str, context: Context, order: int = 0) -> None:
        """Show `template` here, rendered with `context(request, subject)` and the subject."""
        self.fillings.append((order, template, context))
        self.fillings.sort(key=lambda filling: filling[0])


# The coach's lesson desk: clips by part; a clip, a still on the stage; the page being written
DESK_CLIPS = Slot("desk.clips", "lesson")
DESK_CLIP = Slot("desk.clip", "clip")
DESK_STILL = Slot("desk.still", "still")
DESK_PAGE = Slot("desk.page", "lesson")
# The student's lesson page, from the ruler under the main point to the talk at the end
READ_PRACTICE = Slot("read.practice", "lesson")
READ_AFTER = Slot("read.after", "lesson")
# Below a still, and below a given drill, as the student reads them
READ_STILL = Slot("read.still", "still")
READ_GIVEN = Slot("read.given", "given")
# Under the title of a clip that belongs to no lesson: where it came from
CLIP_ABOUT = Slot("clip.about", "clip")
# The coach's page about one student
STUDENT_PAGE = Slot("student.page", "student")

SLOTS = {
    slot.name: slot
    for slot in (
        *(DESK_CLIPS, DESK_STILL, DESK_PAGE, READ_PRACTICE, READ_AFTER, READ_STILL, READ_GIVEN),
        *(CLIP_ABOUT, DESK_CLIP, STUDENT_PAGE),
    )
}
