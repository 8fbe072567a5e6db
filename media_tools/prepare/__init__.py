"""Makes what a player needs from a source, in one run of ffmpeg.

`plan` says what will be made (pure), `build` writes it as arguments for ffmpeg (pure), `prepare`
runs them and looks at what came out before it counts.
"""

from __future__ import annotations

from media_tools.prepare.graph import build
from media_tools.prepare.renditions import Plan, Rendition, Strip, plan
from media_tools.prepare.run import Prepared, prepare

__all__ = ["Plan", "Prepared", "Rendition", "Strip", "build", "plan", "prepare"]
