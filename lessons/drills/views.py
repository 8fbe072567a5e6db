"""The coach's library of drills, and one given drill as the student reads it."""

from __future__ import annotations

from django.contrib import messages
from django.db.models import Count
from django.db.models.functions import Lower
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from lessons.drills.forms import DrillForm, RenewForm
from lessons.drills.models import Assignment, Drill
from lessons.drills.renewal import older_given, renew_given
from portal.accounts.models import User


def coach_asking(request: HttpRequest) -> User:
    """The signed-in coach; a library is nobody else's."""
    if not isinstance(request.user, User) or not request.user.is_coach:
        raise Http404
    return request.user


@require_safe
def drill_list(request: HttpRequest) -> HttpResponse:
    """The library: what may be given, and at its end what was put aside."""
    mine = Drill.objects.visible_to(coach_asking(request)).select_related("clip")
    given = mine.annotate(given=Count("assignments")).order_by(Lower("name"))
    return render(
        request, "drills/list.html", {"drills": given.current(), "archived": given.archived()}
    )


@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest) -> HttpResponse:
    """A new drill in the library."""
    form = DrillForm(request.POST or None, instance=Drill(coach=coach_asking(request)))
    if form.is_valid():
        drill = form.save()
        messages.success(request, f"{drill.name} is in your library.")
        return redirect("drills:drill", drill.pk)
    status = 422 if form.is_bound else 200
    return render(request, "drills/add.html", {"form": form}, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """The words and the usual dose of a drill; what was given keeps its own."""
    drill = get_object_or_404(Drill.objects.visible_to(coach_asking(request)), pk=pk)
    form = DrillForm(request.POST or None, instance=drill)
    if form.is_valid():
        form.save()
        messages.success(request, "Saved. Drills that were given before keep their words.")
        return redirect("drills:drill", drill.pk)
    # The page's heading keeps the name as it is stored while the form holds another
    context = {"form": form, "pk": pk, "name": form.initial["name"]}
    return render(request, "drills/edit.html", context, status=422 if form.is_bound else 200)


@require_safe
def drill(request: HttpRequest, pk: int) -> HttpResponse:
    """One drill of the library, with whom it was given to."""
    mine = Drill.objects.visible_to(coach_asking(request)).select_related("clip")
    found = get_object_or_404(mine, pk=pk)
    given = found.assignments.holding().select_related("lesson__student")
    context = {
        "drill": found,
        "given": given.order_by("-lesson__date", "-pk")[:20],
        "older": len(older_given(found)),
    }
    return render(request, "drills/drill.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def renew(request: HttpRequest, pk: int) -> HttpResponse:
    """Who still reads older words of a drill; POST lets those chosen have the new ones."""
    found = get_object_or_404(Drill.objects.visible_to(coach_asking(request)), pk=pk)
    older = older_given(found)
    form = RenewForm(older, request.POST if request.method == "POST" else None)
    if form.is_valid():
        renewed = renew_given(found, form.cleaned_data["given"])
        messages.success(request, f"Updated for {renewed} student{'' if renewed == 1 else 's'}.")
        return redirect("drills:drill", found.pk)
    chosen = [one.given.pk for one in older] if not form.is_bound else []
    context = {"drill": found, "older": older, "form": form, "chosen": chosen}
    return render(request, "drills/group_renew.html", context, status=422 if form.is_bound else 200)


@require_POST
def archive(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a drill aside, or bring it back with `back`."""
    drill = get_object_or_404(Drill.objects.visible_to(coach_asking(request)), pk=pk)
    if "back" in request.POST:
        drill.bring_back()
        messages.success(request, f"{drill.name} is back in your library.")
        return redirect("drills:drill", drill.pk)
    drill.archive()
    messages.success(request, f"{drill.name} is put aside. Students keep what they were given.")
    return redirect("drills:list")


@require_POST
def drop_clip(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the clip off a drill; drills that were given with it keep it."""
    drill = get_object_or_404(Drill.objects.visible_to(coach_asking(request)), pk=pk)
    Drill.objects.filter(pk=drill.pk).update(clip=None)
    messages.success(request, "The clip is off the drill.")
    return redirect("drills:drill", drill.pk)


@require_safe
def given(request: HttpRequest, pk: int) -> HttpResponse:
    """One given drill, in full, as its student reads it."""
    theirs = Assignment.objects.visible_to(request.user).holding()
    assignment = get_object_or_404(theirs.select_related("lesson__student", "clip"), pk=pk)
    return render(request, "drills/given.html", {"given": assignment, "lesson": assignment.lesson})
