"""The coach's students."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from lessons.students.models import Student
from lessons.students.views.loading import coach_only
from portal.accounts.models import Invitation


@require_safe
def student_list(request: HttpRequest) -> HttpResponse:
    """The current students, or with ?archived=1 the others."""
    coach_only(request)
    archived = request.GET.get("archived") == "1"
    mine = Student.objects.visible_to(request.user)
    students = list(
        (mine.archived() if archived else mine.current())
        .select_related("user")
        .prefetch_related("guardians")
    )
    newest: dict[str, Invitation] = {}
    for invitation in Invitation.objects.visible_to(request.user).filter(
        subject__in=[student.subject for student in students]
    ):
        newest.setdefault(invitation.subject, invitation)
    values = {
        "rows": [(student, newest.get(student.subject)) for student in students],
        "archived": archived,
        "archived_count": mine.archived().count(),
    }
    return render(request, "students/list.html", values)
