"""The table of measures of a lesson, on its desk."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods

from lessons.marks.comparing import comparable, compared, keep_table
from lessons.marks.forms import MeasureTableForm
from lessons.marks.models import MeasureTable
from lessons.marks.table import table_of
from lessons.visits.desk import desk_page
from lessons.visits.models import Lesson


@require_http_methods(["GET", "HEAD", "POST"])
def measures(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose stills, compare what is measured on them, put the table into the recap."""
    lessons = Lesson.objects.led_by(request.user).select_related("student__coach")
    lesson = get_object_or_404(lessons, pk=pk)
    stills = comparable(lesson)
    form = MeasureTableForm(request.POST or None, stills=stills)
    if request.method == "POST" and form.is_valid():
        chosen = form.cleaned_data["stills"]
        keep_table(lesson, chosen, form.cleaned_data["in_recap"])
        if not request.htmx:  # type: ignore[attr-defined]
            return redirect("marks:measures", pk=pk)
    shown = compared(lesson)
    kept = MeasureTable.objects.filter(lesson=lesson).first()
    context = {
        "form": form,
        "stills": stills,
        "chosen": {still.pk for still in shown},
        "in_recap": bool(kept and kept.in_recap),
        "table": table_of(shown),
        "saved": request.method == "POST" and form.is_valid(),
    }
    response = desk_page(request, lesson, "marks/_measures.html", context)
    if request.method == "POST" and not form.is_valid():
        response.status_code = 422
    return response
