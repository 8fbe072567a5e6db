"""Tries every file of a folder: looks at it, makes the first step, a study cut and a still.

`python -m tests.media_tools.fuzz FOLDER OUT`, in a process of its own, so that a crash of a
library ends it and not the tests. Prints one line of JSON for each file: what came of it; the
last line says the most memory that this process and one of its children held.
"""

from __future__ import annotations

import json
import resource
import sys
import time
from pathlib import Path

from media_tools.errors import MediaError
from media_tools.prepare import first, study
from media_tools.source import Limits, look
from media_tools.stills import take

LIMITS = Limits(look_s=20.0)
RUN_S = 20.0


def attempt(path: Path, out: Path) -> str:
    """What came of one file: 'prepared' or the kind of its refusal."""
    try:
        source = look(path, LIMITS)
        first(path, source, out / "first", timeout_s=RUN_S)
        middle_us = source.duration_us // 2
        study(path, source, middle_us, source.duration_us, out / "cut", timeout_s=RUN_S)
        take(path, [source.start_us + middle_us], source)
    except MediaError as error:
        return type(error).__name__ if error.sentence.endswith(".") else repr(error)
    return "prepared"


def say(words: dict[str, object]) -> None:
    sys.stdout.write(json.dumps(words) + "\n")
    sys.stdout.flush()


def main() -> None:
    """Try the files in the order of their names."""
    folder, out = (Path(name) for name in sys.argv[1:3])
    for path in sorted(folder.iterdir()):
        begun = time.monotonic()
        came = attempt(path, out / path.name)
        told = {"file": path.name, "came": came, "seconds": time.monotonic() - begun}
        say(told)
    most = max(
        resource.getrusage(who).ru_maxrss
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    say({"most_kib": most})


if __name__ == "__main__":
    main()
