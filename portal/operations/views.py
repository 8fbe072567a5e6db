"""The page that a watchdog asks."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from portal.operations.health import look_over


@require_safe
@never_cache
@login_not_required
def health(request: HttpRequest) -> JsonResponse:
    """200 if all parts are well, 503 if one is not; names no more than the parts."""
    found = look_over()
    well = all(finding.well for finding in found)
    parts = {finding.part: finding.well for finding in found}
    return JsonResponse({"well": well, "parts": parts}, status=200 if well else 503)
