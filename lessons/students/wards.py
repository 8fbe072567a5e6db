"""What a guardian sees of their consents on their own page and their first page."""

from __future__ import annotations

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from lessons.students.models import Guardian


def wards_part(request: HttpRequest) -> SafeString:
    """The consents of the signed-in person's wards, or nothing for anybody else."""
    wards = Guardian.objects.filter(user=request.user).select_related("student__coach")
    return render_to_string("students/_wards.html", {"wards": wards}, request) if wards else ""
