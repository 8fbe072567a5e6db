"""The web server's door. ASGI, so that a stalled download holds no thread."""

from __future__ import annotations

import os
import warnings

from django.core.asgi import get_asgi_application

from portal.files.guard import guarded

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "portal.settings")
# Static files are small and read at once; private files have their own asynchronous road
warnings.filterwarnings("ignore", message="StreamingHttpResponse must consume synchronous")
application = guarded(get_asgi_application())
