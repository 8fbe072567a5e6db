"""Words about clips: how long something takes, and what comes before."""

from __future__ import annotations

from django import template

from lessons.clips.models import Clip
from lessons.clips.queue import wait_of

register = template.Library()


@register.filter
def wait_words(clip: Clip) -> str:
    """The place of a waiting clip, the time left for one under way; empty while not known."""
    wait = wait_of(clip)
    if clip.state == Clip.State.RECEIVED:
        if wait.before == 0:
            return "next in line"
        return f"{wait.before} clip{'s' if wait.before > 1 else ''} before it"
    return "" if wait.left_s is None else f"about {about(wait.left_s)} left"


def about(seconds: float) -> str:
    """A length of time as one says it: '10 s', '40 s', '3 min'."""
    if seconds < 60:
        return f"{max(5, 5 * round(seconds / 5))} s"
    return f"{round(seconds / 60)} min"
