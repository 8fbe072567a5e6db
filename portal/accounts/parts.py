"""What other rooms show on a person's own page: they append here in their AppConfig.ready."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest
from django.utils.safestring import SafeString

# Each is called with the request and returns rendered HTML, or an empty text
PROFILE_PARTS: list[Callable[[HttpRequest], SafeString]] = []
