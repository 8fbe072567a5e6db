"""The first page of everyone, and the coach's board."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from lessons.board.choosing import choose
from lessons.board.drift import RULE as DRIFT_RULE
from lessons.board.rows import board_rows
from lessons.board.word import RULE
from lessons.practice.service import today_of
from lessons.students.models import Student
from lessons.students.views.loading import coach_only
from lessons.visits.models import Lesson
from portal.accounts.models import User


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Where the name at the top leads: the board, or the newest lesson of each student seen."""
    user: User = request.user
    if user.is_coach:
        return redirect("board:board")
    students = list(Student.objects.visible_to(user).select_related("coach", "user"))
    newest: dict[int, Lesson] = {}
    for lesson in Lesson.objects.visible_to(user):
        newest.setdefault(lesson.student_id, lesson)
    if len(students) == 1 and newest:
        return redirect("recaps:read", newest[students[0].pk].pk)
    mine = [(student, newest.get(student.pk), today_of(student)) for student in students]
    return render(request, "board/home.html", {"mine": mine})


@require_safe
def board(request: HttpRequest) -> HttpResponse:
    """A row a student, those who need a word first; `show`, `name` and `page` choose among them."""
    coach_only(request)
    rows = board_rows(request.user)
    asked = request.GET
    chosen = choose(rows, asked.get("show", ""), asked.get("name", ""), asked.get("page", ""))
    context = {"chosen": chosen, "rows": rows, "rule": RULE, "drift_rule": DRIFT_RULE}
    return render(request, "board/board.html", context)
