"""A nudge: its words, whom it goes to, what was sent before; and the words a coach keeps."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from lessons.board.forms import NudgeForm, WordsForm
from lessons.board.models import Nudge, NudgeWords
from lessons.board.nudging import (
    USUAL,
    NotSentError,
    SoonAgainError,
    addressees,
    fill_in,
    keep_words,
    send_nudge,
    sent_soon,
    usual_for,
    why_nobody,
)
from lessons.board.rows import Row, board_rows
from lessons.practice.words import listed
from lessons.students.models import Student
from lessons.students.views.loading import coach_only, student_of_coach

SHOWN_BEFORE = 20


@require_http_methods(["GET", "HEAD", "POST"])
def nudge(request: HttpRequest, pk: int) -> HttpResponse:
    """A short reminder about one student, begun with words that fit and edited before it goes."""
    student = student_of_coach(request, pk)
    if request.method != "POST":
        return page(request, student, NudgeForm(initial=beginning(request, student)))
    form = NudgeForm(request.POST)
    if not form.is_valid():
        return page(request, student, form, status=422)
    said = form.cleaned_data
    try:
        sent = send_nudge(student, request.user, said["text"], key=said["key"], again=said["again"])
    except SoonAgainError as reason:
        form.add_error("again", str(reason))
        return page(request, student, form, status=409)
    except NotSentError as reason:
        form.add_error(None, str(reason))
        return page(request, student, form, status=409)
    if said["keep_as"]:
        keep_words(request.user, said["keep_as"], said["text"])
    names = listed([user.name for user in sent.sent_to.order_by("pk")])
    messages.success(request, f"Sent to {names}.")
    return redirect("board:board")


def beginning(request: HttpRequest, student: Student) -> dict[str, object]:
    """The words to begin with: the coach's or the usual ones asked for, else what fits."""
    row = row_of(student)
    rank = row.word.rank if row and row.word else None
    text = usual_for(rank).text
    chosen = request.GET.get("words", "")
    mine = NudgeWords.objects.visible_to(request.user)
    if chosen.isdecimal() and (words := mine.filter(pk=int(chosen[:18])).first()):
        text = words.text
    elif usual := next((usual for usual in USUAL if usual.key == chosen), None):
        text = usual.text
    aside = row.left_aside if row else []
    drills = aside or ([drill.name for drill in row.held[:1]] if row else [])
    lesson = row.posted if row else None
    return {"key": uuid.uuid4(), "text": fill_in(text, student, lesson, drills)}


def row_of(student: Student) -> Row | None:
    """The student's own row of the board; None for one who was put aside."""
    return next(iter(board_rows(student.coach, only=student)), None)


def page(
    request: HttpRequest, student: Student, form: NudgeForm, status: int = 200
) -> HttpResponse:
    users = addressees(student)
    before = Nudge.objects.visible_to(request.user).filter(student=student)
    context = {
        "student": student,
        "form": form,
        "to": listed([user.name for user in users]),
        "why_nobody": "" if users else why_nobody(student),
        "soon": sent_soon(student),
        "kept": NudgeWords.objects.visible_to(request.user),
        "usual": USUAL,
        "before": before.prefetch_related("sent_to")[:SHOWN_BEFORE],
    }
    return render(request, "board/nudge.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def words(request: HttpRequest) -> HttpResponse:
    """The words a coach keeps to begin a nudge with, and a form for new ones."""
    coach_only(request)
    form = WordsForm(request.POST or None, instance=NudgeWords(coach=request.user))
    if form.is_valid():
        form.save()
        messages.success(request, f"{form.instance.name} is among your words.")
        return redirect("board:words")
    kept = NudgeWords.objects.visible_to(request.user)
    context = {"form": form, "kept": kept}
    return render(request, "board/words.html", context, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def edit_words(request: HttpRequest, pk: int) -> HttpResponse:
    """Change kept words, or with `remove` let them go; nudges that were sent stay."""
    coach_only(request)
    mine = get_object_or_404(NudgeWords.objects.visible_to(request.user), pk=pk)
    if "remove" in request.POST:
        mine.delete()
        messages.success(request, f"{mine.name} is no longer among your words.")
        return redirect("board:words")
    form = WordsForm(request.POST or None, instance=mine)
    if form.is_valid():
        form.save()
        messages.success(request, "Saved.")
        return redirect("board:words")
    status = 422 if form.is_bound else 200
    return render(request, "board/edit_words.html", {"form": form, "pk": pk}, status=status)
