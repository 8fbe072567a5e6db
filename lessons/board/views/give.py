"""The same drills or note for several students: choose, look at who gets what, give; groups."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from lessons.board import giving
from lessons.board.forms import GiveForm, GroupForm
from lessons.board.models import StudentGroup
from lessons.practice.words import count, listed
from lessons.students.views.loading import coach_only

MOST_NAMES = 5  # in one line of what happened


@require_http_methods(["GET", "HEAD", "POST"])
def give(request: HttpRequest) -> HttpResponse:
    """GET offers students and drills; POST shows who gets what, and with `give` gives it."""
    coach_only(request)
    if request.method != "POST":
        return page(request, GiveForm(request.user, key=uuid.uuid4(), **chosen_at_first(request)))
    form = GiveForm(request.user, request.POST)
    if not form.is_valid() or "change" in request.POST:
        return page(request, form, status=200 if form.is_valid() else 422)
    chosen = form.cleaned_data
    students, drills = list(chosen["students"]), list(chosen["drills"])
    if chosen["keep_as"]:
        group = giving.keep_group(request.user, chosen["keep_as"], students, drills)
        messages.success(request, f"{group} is among your groups.")
    if "give" not in request.POST:
        givings = giving.look(students, drills, chosen["note"])
        context = {"form": form, "givings": givings, "note": chosen["note"]}
        context["anything"] = any(one.is_anything for one in givings)
        return render(request, "board/give_look.html", context)
    givings = giving.give(request.user, students, drills, chosen["note"], chosen["key"])
    tell(request, givings)
    return redirect("board:board")


def chosen_at_first(request: HttpRequest) -> dict[str, list[int]]:
    """The students and drills of `?group=`, and the students of `?student=`, by their keys."""
    students = [int(pk[:18]) for pk in request.GET.getlist("student") if pk.isdecimal()]
    asked = request.GET.get("group", "")
    groups = StudentGroup.objects.visible_to(request.user)
    group = groups.filter(pk=int(asked[:18])).first() if asked.isdecimal() else None
    if group is None:
        return {"students": students}
    students += group.students.values_list("pk", flat=True)
    return {"students": students, "drills": list(group.drills.values_list("pk", flat=True))}


def page(request: HttpRequest, form: GiveForm, status: int = 200) -> HttpResponse:
    groups = StudentGroup.objects.visible_to(request.user)
    return render(request, "board/give.html", {"form": form, "groups": groups}, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def group(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a group, or with `remove` let it go; what was given to its students stays."""
    coach_only(request)
    mine = get_object_or_404(StudentGroup.objects.visible_to(request.user), pk=pk)
    if "remove" in request.POST:
        mine.delete()
        messages.success(request, f"{mine} is no longer among your groups.")
        return redirect("board:give")
    name = mine.name
    form = GroupForm(request.POST or None, instance=mine)
    if form.is_valid():
        form.save()
        messages.success(request, "Saved.")
        return redirect(f"{reverse('board:give')}?group={pk}")
    context = {"form": form, "pk": pk, "name": name}
    return render(request, "board/group.html", context, status=422 if form.is_bound else 200)


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
