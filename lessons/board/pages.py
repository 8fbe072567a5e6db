"""What other pages show of the board."""

from __future__ import annotations

from django.http import HttpRequest

from lessons.board.models import Nudge
from lessons.students.models import Student

SHOWN = 3


def student_board(request: HttpRequest, student: Student) -> dict[str, object]:
    """Fills "student.page" of the coach's page about one student: ways on, and the last nudges."""
    nudges = Nudge.objects.visible_to(request.user).filter(student=student)
    return {"nudges": nudges.prefetch_related("sent_to")[:SHOWN]}
