"""A parent keeps its children going and leaves none behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

from tests.servers import wait_until

ROOT = Path(__file__).resolve().parent.parent.parent
SLEEPER = """
import os, sys, time
with open(sys.argv[1], "a") as file:
    print(os.getpid(), file=file)
time.sleep(60)
"""
PARENT = f"""
import os, sys
from portal.operations.family import Child, Family
command = [sys.executable, "-c", {SLEEPER!r}]
children = [Child(name, [*command, os.path.join(sys.argv[1], name)]) for name in ("one", "two")]
Family(children, os.environ, lambda line: print(line, flush=True), grace_s=3).run()
print("ended", flush=True)
"""


def start(folder: Path) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", PARENT, str(folder)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)


def pids(folder: Path, name: str) -> list[int]:
    file = folder / name
    return [int(line) for line in file.read_text().split()] if file.exists() else []


def alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    # A child whose parent was killed may be a zombie until something reaps it
    return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"


def test_a_stop_signal_ends_every_child(tmp_path: Path):
    parent = start(tmp_path)
    wait_until(lambda: all(pids(tmp_path, n) for n in ("one", "two")), "both children run")
    parent.send_signal(signal.SIGINT)
    assert parent.communicate(timeout=10)[0].endswith("ended\n")
    assert parent.returncode == 0
    assert not any(alive(pid) for n in ("one", "two") for pid in pids(tmp_path, n))


def test_a_child_that_dies_is_started_again_and_the_person_is_told(tmp_path: Path):
    parent = start(tmp_path)
    wait_until(lambda: bool(pids(tmp_path, "one")), "the child runs")
    os.kill(pids(tmp_path, "one")[0], signal.SIGKILL)
    wait_until(lambda: len(pids(tmp_path, "one")) == 2, "the child runs again")
    parent.terminate()
    assert "The one ended" in parent.communicate(timeout=10)[0]


def test_a_killed_parent_leaves_no_child_behind(tmp_path: Path):
    parent = start(tmp_path)
    wait_until(lambda: all(pids(tmp_path, n) for n in ("one", "two")), "both children run")
    parent.kill()
    parent.communicate()
    left = [pid for n in ("one", "two") for pid in pids(tmp_path, n)]
    wait_until(lambda: not any(alive(pid) for pid in left), "the children end too", 10)
