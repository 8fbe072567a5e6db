"""A programme's road, and how a coach begins, changes and ends one."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from lessons.practice.service import today_of
from lessons.programmes.forms import ProgrammeForm
from lessons.programmes.models import Aim, Programme
from lessons.programmes.road import road_of
from lessons.programmes.service import keep_programme
from lessons.students.views.loading import student_of_coach


@require_safe
def road(request: HttpRequest, pk: int) -> HttpResponse:
    """From the first lesson to now; the student and a junior's guardian read the same page."""
    seen = Programme.objects.visible_to(request.user).select_related("student__coach")
    programme = get_object_or_404(seen.select_related("student__user"), pk=pk)
    context = {"road": road_of(programme), "programme": programme, "student": programme.student}
    return render(request, "programmes/road.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin a programme with a student."""
    student = student_of_coach(request, pk)
    first = student.lessons.order_by("date").first()
    begins = first.date if first else today_of(student)
    programme = Programme(student=student, begins_on=begins)
    form = ProgrammeForm(request.POST or None, instance=programme)
    if form.is_valid():
        keep_programme(programme, form.cleaned_data["aims"])
        messages.success(request, f"{programme.title} is begun.")
        return redirect("programmes:road", programme.pk)
    context = {"form": form, "student": student}
    return render(request, "programmes/add.html", context, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a programme; `end` ends it, `back` takes it up again."""
    programme = led(request, pk)
    if "end" in request.POST or "back" in request.POST:
        if "end" in request.POST:
            programme.end(today_of(programme.student))
            messages.success(request, "Ended. Everything is kept.")
        else:
            programme.take_up_again()
            messages.success(request, "Taken up again.")
        return redirect("programmes:road", pk)
    aims = "\n".join(aim.words for aim in programme.aims.all())
    form = ProgrammeForm(request.POST or None, instance=programme, initial={"aims": aims})
    if form.is_valid():
        keep_programme(programme, form.cleaned_data["aims"])
        messages.success(request, "Saved.")
        return redirect("programmes:road", pk)
    context = {"form": form, "pk": pk, "title": form.initial["title"]}
    context["ended_on"] = programme.ended_on
    return render(request, "programmes/edit.html", context, status=422 if form.is_bound else 200)


@require_POST
def reach(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that an aim is reached, or with `back` that it is not."""
    aim = get_object_or_404(Aim.objects.led_by(request.user), pk=pk)
    if "back" in request.POST:
        aim.reopen()
    else:
        aim.reach()
    return redirect("programmes:road", aim.programme_id)


def led(request: HttpRequest, pk: int) -> Programme:
    """A programme of the signed-in coach's own student."""
    mine = Programme.objects.led_by(request.user).select_related("student__user")
    return get_object_or_404(mine, pk=pk)
