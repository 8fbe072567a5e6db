"""The throughput of two clip workers against one, on Redis.

`python -m tests.benchmarks.workers` prints `figure workers_2_vs_1 VALUE ratio bar >= LIMIT`, and
ends with 1 if the bar is missed. Each run prepares the same clips with everything that follows
from them (every row of work), from the moment the workers may begin. One ffmpeg already uses more
than one core, so on two cores a second worker only fills the gaps between its steps: the bar is
that it helps at all. The ratio is between means of alternating runs.
"""

from __future__ import annotations

import os
import signal
import statistics
import sys
import tempfile
import time
from contextlib import ExitStack
from pathlib import Path

from media_tools.mannequin import Film, TimedSwing, film
from tests.faults.house import House
from tests.running import Site, end
from tests.servers import redis_server

CLIPS = 4
ROUNDS = 2
BAR = 1.1


def seconds_for(house: House, workers: int) -> float:
    """From letting go of idle workers until every row of work has ended."""
    names = [f"w{number}" for number in range(workers)]
    started = [house.site.start_worker(name=name) for name in names]
    try:
        # One clip for each: every process has loaded all it needs
        house.upload(workers)
        house.settled(time.monotonic())
        for process in started:
            os.killpg(process.pid, signal.SIGSTOP)
        house.upload(CLIPS)
        begun = time.monotonic()
        for process in started:
            os.killpg(process.pid, signal.SIGCONT)
        return max(house.settled(begun, seconds=600).values())
    finally:
        for process in started:
            end(process)


def main() -> int:
    """Print the figures; 1 if the bar is missed."""
    with tempfile.TemporaryDirectory() as name, ExitStack() as stack:
        folder = Path(name)
        recording = folder / "swing.mp4"
        film(Film(size_px=(1280, 720), fps=30, swings=(TimedSwing(0.8),), duration_s=4), recording)
        broker = redis_server(folder)
        stack.enter_context(broker.running())
        data = folder / "site"
        data.mkdir()
        environment = {
            "DJANGO_SETTINGS_MODULE": "portal.settings",
            "CELERY_BROKER_URL": f"redis://127.0.0.1:{broker.port}/0",
            "CARRYOVER_LEASE_SECONDS": "30",
        }
        site = Site(data, environment)
        site.manage("make_ready")
        house = House("redis", site, folder, recording)
        stack.callback(house.end)
        took: dict[int, list[float]] = {1: [], 2: []}
        for _ in range(ROUNDS):
            for workers in took:
                took[workers].append(seconds_for(house, workers))
    one, two = (statistics.mean(took[workers]) for workers in (1, 2))
    print(f"figure workers_1_clips_per_minute {60 * CLIPS / one:.1f} per_min")
    print(f"figure workers_2_clips_per_minute {60 * CLIPS / two:.1f} per_min")
    print(f"figure workers_2_vs_1 {one / two:.2f} ratio bar >= {BAR}")
    return int(one / two < BAR)


if __name__ == "__main__":
    sys.exit(main())
