"""A film of swings side by side shows the exact frames: their numbers are read back from it."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image, ImageOps

from media_tools import prepare
from media_tools.beside import Pause, Placed, Reel, film, layout, shots, warps, windows
from media_tools.beside.timeline import Shot
from media_tools.beside.windows import Picture
from media_tools.errors import Stopped
from media_tools.source import look
from media_tools.times import frame_at
from tests.media_tools.clips import PASSTHROUGH, Recipe, ffprobe, make, read_number
from tests.media_tools.recipes import VARIABLE

SIZE = (320, 180)
RECIPES = {
    "30": Recipe(rate=30),
    "240": Recipe(rate=240, frames=240),
    "variable": Recipe(rate=30, filters=VARIABLE, options=PASSTHROUGH),
}
# Where "positions" are put in each file: any moments will do, of any tempo
PLACED = {
    "30": Placed(1_000_000, {"P1": 300_000, "P4": 700_000, "P7": 1_000_000, "P10": 1_400_000}),
    "240": Placed(500_000, {"P1": 120_000, "P4": 404_166, "P7": 500_000, "P10": 900_000}),
    "variable": Placed(900_000, {"P1": 200_000, "P4": 650_000, "P7": 900_000, "P10": 1_300_000}),
}


@pytest.fixture(scope="module")
def cuts(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[prepare.StudyCut, list[int]]]:
    """Each file's study cut, and when each frame of the file is shown."""
    folder = tmp_path_factory.mktemp("beside")
    found = {}
    for name, recipe in RECIPES.items():
        path = make(folder / f"{name}.mp4", recipe)
        source = look(path)
        cut = prepare.study(path, source, 0, source.duration_us, folder / name)
        found[name] = (cut, (source.times_us - source.start_us).tolist())
    return found


@pytest.fixture
def reels(cuts: dict) -> Callable[..., list[Reel]]:
    def get(names: list[str], *, by_position: bool, mirrored: str = "") -> list[Reel]:
        found = warps([PLACED[name] for name in names], "P7", by_position=by_position)
        laid = windows([Picture(*SIZE, name == mirrored) for name in names])
        return [
            Reel(
                path=cuts[name][0].file,
                offset_us=cuts[name][0].offset_us,
                times_us=np.array(cuts[name][1]),
                warp=warp,
                window=window,
                mirrored=name == mirrored,
                caption=name,
            )
            for name, warp, window in zip(names, found, laid, strict=True)
        ]

    return get


def numbers_in(path: Path, count: int, mirrored: int = -1) -> list[tuple[int, ...]]:
    """For each frame of a film, the numbers that its cells show."""
    laid = layout(count, SIZE, SIZE[0])
    found = []
    with av.open(str(path)) as container:
        for frame in container.decode(video=0):
            whole = frame.to_image()
            cells = [whole.crop((x, y, x + SIZE[0], y + SIZE[1])) for x, y in laid.places]
            cells = [ImageOps.mirror(c) if k == mirrored else c for k, c in enumerate(cells)]
            found.append(tuple(read_number(cell) for cell in cells))
    return found


def expected(reels: list[Reel], film_shots: list[Shot]) -> list[tuple[int, ...]]:
    """The same by the tables of times alone."""
    return [
        tuple(frame_at(reel.times_us, reel.warp.clip_us(shot.clock_us)) for reel in reels)
        for shot in film_shots
        for _ in range(shot.frames)
    ]


@pytest.mark.parametrize("by_position", [False, True])
@pytest.mark.parametrize("names", [["30", "240"], ["240", "variable", "30"]])
def test_every_frame_of_every_swing_is_the_right_one(
    names: list[str], by_position: bool, reels: Callable[..., list[Reel]], tmp_path: Path
):
    given = reels(names, by_position=by_position, mirrored="240")
    wanted = shots(-600_000, 300_000, 0.25, [Pause(0, 1_000_000, "P7 impact")])
    path = tmp_path / "film.mp4"
    film(given, wanted, layout(len(names), SIZE, SIZE[0]), 1.0, path)
    seen = numbers_in(path, len(names), names.index("240"))
    assert seen == expected(given, wanted)
    assert len(set(seen)) > 20


def test_by_position_every_pause_shows_each_swing_at_its_own_position(
    reels: Callable[..., list[Reel]], cuts: dict, tmp_path: Path
):
    names = ["30", "240", "variable"]
    given = reels(names, by_position=True)
    positions = PLACED["30"].positions
    pauses = [Pause(us - 1_000_000, 500_000, name) for name, us in positions.items()]
    wanted = shots(-800_000, 500_000, 1, pauses)
    path = tmp_path / "film.mp4"
    film(given, wanted, layout(3, SIZE, SIZE[0]), 1.0, path)
    seen = numbers_in(path, 3)
    stood = [row for row, again in itertools.pairwise(seen) if row == again]
    for position in positions:
        here = tuple(
            frame_at(np.array(cuts[name][1]), PLACED[name].positions[position]) for name in names
        )
        assert stood.count(here) >= 13, position


def test_it_plays_in_a_browser_at_thirty_frames_a_second(
    reels: Callable[..., list[Reel]], tmp_path: Path
):
    """ffprobe of Debian's ffmpeg is the judge."""
    path = tmp_path / "film.mp4"
    wanted = shots(-300_000, 300_000, 0.5, [])
    film(reels(["30", "240"], by_position=False), wanted, layout(2, SIZE, SIZE[0]), 1.0, path)
    told = ffprobe(path, "-show_streams", "-show_entries", "frame=pts_time,width,height")
    [stream] = told["streams"]
    assert (stream["codec_name"], stream["pix_fmt"]) == ("h264", "yuv420p")
    assert (stream["color_space"], stream["color_range"]) == ("bt709", "tv")
    times = [float(frame["pts_time"]) for frame in told["frames"]]
    assert times == pytest.approx([k / 30 for k in range(len(wanted))], abs=1e-5)


def test_outside_of_a_cut_its_first_or_last_frame_stands(
    reels: Callable[..., list[Reel]], tmp_path: Path
):
    given = reels(["30", "240"], by_position=False)
    path = tmp_path / "film.mp4"
    film(given, [Shot(-5_000_000), Shot(5_000_000)], layout(2, SIZE, SIZE[0]), 1.0, path)
    assert numbers_in(path, 2) == [(0, 0), (47, 239)]


def test_what_is_drawn_over_gets_the_frame_and_its_time(
    reels: Callable[..., list[Reel]], tmp_path: Path
):
    given = reels(["30", "240"], by_position=False)
    told: list[tuple[int, int]] = []

    def over(image: Image.Image, time_us: int) -> Image.Image:
        told.append((read_number(image), time_us))
        return image

    drawn = [given[0], Reel(**{**vars(given[1]), "over": over})]
    film(drawn, shots(-50_000, 50_000, 0.25, []), layout(2, SIZE, SIZE[0]), 1.0, tmp_path / "f.mp4")
    assert told
    for number, time_us in told:
        assert abs(given[1].times_us[number] - time_us) <= 500


def test_stopped_it_leaves_nothing_behind(reels: Callable[..., list[Reel]], tmp_path: Path):
    asked = []
    wanted = shots(-300_000, 300_000, 0.5, [])

    def stop() -> bool:
        asked.append(True)
        return len(asked) > 3

    given = reels(["30", "240"], by_position=False)
    with pytest.raises(Stopped):
        film(
            given,
            wanted,
            layout(2, SIZE, SIZE[0]),
            1.0,
            tmp_path / "film.mp4",
            should_stop=stop,
        )
    assert not list(tmp_path.iterdir())


def test_it_tells_how_far_it_is(reels: Callable[..., list[Reel]], tmp_path: Path):
    told: list[float] = []
    film(
        reels(["30", "240"], by_position=False),
        shots(-100_000, 100_000, 1, []),
        layout(2, SIZE, SIZE[0]),
        1.0,
        tmp_path / "film.mp4",
        on_progress=told.append,
    )
    assert told == sorted(told)
    assert told[-1] == 1.0
