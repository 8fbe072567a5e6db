"""Become another program, with limits: run as a script by `media_tools.ffmpeg` only.

`python _launch.py PARENT_PID MEMORY_BYTES FILE_BYTES PROGRAM ARGUMENT...` sets the limits on
itself and then turns into PROGRAM. Doing this in a process of its own keeps Python code out of
the moment between fork and exec of a parent that has threads (subprocess's `preexec_fn`).
"""

from __future__ import annotations

import ctypes
import os
import resource
import signal
import sys

_NICE = 10  # pages are answered first where the web runs on the same machine
_PR_SET_PDEATHSIG = 1  # linux/prctl.h


def _limit(what: int, value: int) -> None:
    hard = resource.getrlimit(what)[1]
    if hard != resource.RLIM_INFINITY:
        value = min(value, hard)
    resource.setrlimit(what, (value, value))


def main() -> None:
    """Set the limits, tie this process's life to the parent's, become the program."""
    parent, memory_bytes, file_bytes = (int(text) for text in sys.argv[1:4])
    _limit(resource.RLIMIT_CORE, 0)
    if memory_bytes:
        _limit(resource.RLIMIT_AS, memory_bytes)
    if file_bytes:
        _limit(resource.RLIMIT_FSIZE, file_bytes)
    os.nice(_NICE)
    if sys.platform == "linux":
        # The kernel kills this process when the thread that started it is gone. Elsewhere
        # nothing does: the time limit then ends a run whose parent was killed.
        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL, 0, 0, 0)
        if os.getppid() != parent:
            raise SystemExit("the parent ended before the program began")
    os.execv(sys.argv[4], sys.argv[4:])  # noqa: S606 (an argument list; no shell is wanted)


if __name__ == "__main__":
    main()
