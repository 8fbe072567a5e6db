"""The same drills or note for several students: choose, look at who gets what, give."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from lessons.board import giving
from lessons.board.forms import GiveForm
from lessons.practice.words import count, listed
from lessons.students.views.loading import coach_only

MOST_NAMES = 5  # in one line of what happened


@require_http_methods(["GET", "HEAD", "POST"])
def give(request: HttpRequest) -> HttpResponse:
    """GET offers students and drills; POST shows who gets what, and with `give` gives it."""
    coach_only(request)
    if request.method != "POST":
        asked = [int(pk[:18]) for pk in request.GET.getlist("student") if pk.isdecimal()]
        form = GiveForm(request.user, key=uuid.uuid4(), students=asked)
        return render(request, "board/give.html", {"form": form})
    form = GiveForm(request.user, request.POST)
    if not form.is_valid() or "change" in request.POST:
        status = 200 if form.is_valid() else 422
        return render(request, "board/give.html", {"form": form}, status=status)
    chosen = form.cleaned_data
    students, drills = list(chosen["students"]), list(chosen["drills"])
    if "give" not in request.POST:
        givings = giving.look(students, drills, chosen["note"])
        context = {"form": form, "givings": givings, "note": chosen["note"]}
        context["anything"] = any(one.is_anything for one in givings)
        return render(request, "board/give_look.html", context)
    givings = giving.give(request.user, students, drills, chosen["note"], chosen["key"])
    tell(request, givings)
    return redirect("board:board")


def tell(request: HttpRequest, givings: list[giving.Giving]) -> None:
    """What happened, in a line or two."""
    got = [one.student.name for one in givings if one.is_anything]
    rest = [one.student.name for one in givings if not one.is_anything]
    if got:
        messages.success(request, f"Given to {names(got)}.")
    if rest:
        messages.warning(request, f"Nothing new for {names(rest)}.")


def names(people: list[str]) -> str:
    if len(people) > MOST_NAMES:
        return count(len(people), "student")
    return listed(people)
