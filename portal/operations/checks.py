"""What `manage.py check` says of the programs the site needs."""

from __future__ import annotations

import sys

from django.core.checks import CheckMessage, Error, Info, register

from media_tools.errors import MediaError
from media_tools.ffmpeg import find_ffmpeg


@register("media")
def ffmpeg_is_there(**kwargs: object) -> list[CheckMessage]:
    """Says which ffmpeg is used, and what it lacks."""
    try:
        tool = find_ffmpeg()
    except MediaError as error:
        return [Error(error.sentence, hint=error.detail, id="media.E001")]
    if tool.missing:
        lacks = ", ".join(tool.missing)
        return [
            Error(
                f"ffmpeg {tool.version} at {tool.path} ({tool.origin}) lacks: {lacks}.",
                hint="Install a full ffmpeg, or unset CARRYOVER_FFMPEG to use the wheel's.",
                id="media.E002",
            )
        ]
    # Other commands check too, and a word about what is well would be noise there
    if sys.argv[1:2] != ["check"]:
        return []
    return [Info(f"ffmpeg {tool.version} from {tool.origin}: {tool.path}", id="media.I001")]
