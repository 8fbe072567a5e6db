"""The tasks that make pictures and films: exact frames, by the number that each carries."""

from __future__ import annotations

import datetime
from pathlib import Path

import av
import pytest
from django.core.files.storage import default_storage
from django.utils import timezone
from PIL import Image, ImageChops, ImageOps, ImageStat

from lessons.clips import times
from lessons.clips.models import Cut, Still
from lessons.pairings import making, tasks
from lessons.pairings.models import Pairing, PairingSide, SavedPairing
from lessons.pairings.recipe import Recipe
from lessons.pairings.service import save_film, save_picture
from media_tools.beside import layout, shots
from media_tools.errors import ToolFailed, Unreadable
from media_tools.mannequin import read_frame_code
from portal.work.sending import sweep
from tests import factories
from tests.clips.test_prepare import fails_with, files_under
from tests.work.rest import rested

SIZE = (320, 180)


def made(row: SavedPairing) -> SavedPairing:
    """The row, once its task is through."""
    (tasks.film if row.is_film else tasks.save)(row.pk)
    row.refresh_from_db()
    assert row.is_ready, row.reason
    return row


def cells(whole: Image.Image, count: int = 2) -> list[Image.Image]:
    laid = layout(count, SIZE, SIZE[0])
    assert whole.size == laid.size
    return [whole.crop((x, y, x + SIZE[0], y + SIZE[1])) for x, y in laid.places]


def picture(row: SavedPairing) -> Image.Image:
    with row.file.open() as file:
        image = Image.open(file)
        image.load()
    return image


def frame_shown(side: PairingSide, time_us: int) -> int:
    """By the table of the clip's times alone."""
    return times.shown_at(times.read(side.clip), time_us)


def test_a_picture_shows_each_swing_at_the_position(filmed: Pairing):
    row = made(save_picture(filmed, 0))
    image = picture(row)
    assert (row.width_px, row.height_px) == image.size
    assert not image.getexif()
    found = [read_frame_code(cell) for cell in cells(image)]
    assert found == [frame_shown(side, side.swing.strike_us) for side in filmed.sides.all()]


def test_by_position_it_shows_each_at_its_own_top(filmed: Pairing):
    Pairing.objects.update(by_position=True)
    filmed.refresh_from_db()
    # The first swing's top is 200 ms before its strike; the second's 350 ms before its own
    row = made(save_picture(filmed, -200_000))
    found = [read_frame_code(cell) for cell in cells(picture(row))]
    assert found == [frame_shown(side, side.swing.top_us) for side in filmed.sides.all()]
    assert row.recipe["words"] == "P4 top"


def test_mirrored_left_is_right(filmed: Pairing):
    filmed.sides.update(mirrored=True)
    assert all(
        side.caption.endswith(", mirrored")
        for side in Recipe.from_json(save_picture(filmed, 0).recipe).sides
    )
    found = [
        read_frame_code(ImageOps.mirror(c)) for c in cells(picture(made(save_picture(filmed, 0))))
    ]
    assert found == [frame_shown(side, side.swing.strike_us) for side in filmed.sides.all()]


def test_what_is_matched_comes_to_the_same_size(filmed: Pairing):
    first, second = filmed.sides.all()
    PairingSide.objects.filter(pk=first.pk).update(points=[[0.5, 0.25], [0.5, 0.75]])
    PairingSide.objects.filter(pk=second.pk).update(points=[[0.25, 0.25], [0.25, 0.5]])
    whole = cells(picture(made(save_picture(filmed, 0))))[1]
    # Twice as large, its point (0.25, 0.375) in the middle: its corner lies at (0, -45) of the cell
    # so the lower half of its code is seen, twice as large
    plain = cells(picture(made(save_picture_plain(filmed))))[1]
    seen = plain.crop((0, 23, 160, 113)).resize(SIZE, Image.Resampling.BICUBIC)
    assert difference(whole.crop((0, 40, 320, 140)), seen.crop((0, 40, 320, 140))) < 8


def save_picture_plain(pairing: Pairing) -> SavedPairing:
    pairing.sides.update(points=None)
    return save_picture(pairing, 0)


def difference(a: Image.Image, b: Image.Image) -> float:
    return sum(ImageStat.Stat(ImageChops.difference(a, b)).mean) / 3


def test_a_stills_marks_are_drawn_at_its_frame_alone(filmed: Pairing):
    side = filmed.sides.first()
    mark = {"id": "a", "kind": "box", "points": [[200, 60], [300, 160]], "colour": "#D55E00"}
    still = factories.StillFactory(
        clip=side.clip,
        time_us=times.at(times.read(side.clip), side.swing.strike_us),
        state=Still.State.READY,
        width_px=320,
        height_px=180,
    )
    factories.MarkSetFactory(still=still, marks=[{**mark, "text": ""}])
    with_marks = [cells(picture(made(save_picture(filmed, clock))))[0] for clock in (0, -50_000)]
    Pairing.objects.update(with_marks=False)
    filmed.refresh_from_db()
    without = [cells(picture(made(save_picture(filmed, clock))))[0] for clock in (0, -50_000)]
    changed = [difference(a, b) > 0.2 for a, b in zip(with_marks, without, strict=True)]
    assert changed == [True, False]


def test_laid_over_one_another_it_is_one_picture(filmed: Pairing):
    Pairing.objects.update(over=True, opacity_percent=0)
    filmed.refresh_from_db()
    row = made(save_picture(filmed, 0))
    assert (row.width_px, row.height_px) == SIZE
    side = filmed.sides.first()
    assert read_frame_code(picture(row)) == frame_shown(side, side.swing.strike_us)


def test_a_film_shows_the_exact_frames(filmed: Pairing, stored_files: Path):
    row = made(save_film(filmed, 0.5, ["P4", "P7"], 0.5))
    recipe = Recipe.from_json(row.recipe)
    wanted = [
        tuple(
            frame_shown(side, warp.clip_us(shot.clock_us))
            for side, warp in zip(filmed.sides.all(), recipe.warps, strict=True)
        )
        for shot in shots(recipe.begin_us, recipe.end_us, recipe.speed, recipe.pauses)
        for _ in range(shot.frames)
    ]
    with av.open(str(stored_files / row.file.name)) as container:
        frames = [frame.to_image() for frame in container.decode(video=0)]
    seen = [tuple(read_frame_code(cell) for cell in cells(frame)) for frame in frames]
    assert seen == wanted
    assert row.duration_us == round(len(wanted) * 1e6 / 30)
    tops = [frame_shown(filmed.sides.first(), 400_000)]
    assert sum(numbers[0] == tops[0] for numbers in seen) >= 15


def test_a_films_poster_is_its_first_pause(filmed: Pairing, stored_files: Path):
    row = made(save_film(filmed, 1, ["P4"], 0.5))
    with Image.open(stored_files / row.poster.name) as poster:
        assert read_frame_code(cells(poster)[0]) == frame_shown(filmed.sides.first(), 400_000)


def test_a_film_is_handed_on_to_the_workers_of_long_work(
    filmed: Pairing, monkeypatch: pytest.MonkeyPatch
):
    handed: list[int] = []
    monkeypatch.setattr(tasks.film, "delay", handed.append)
    row = save_film(filmed, 1, [], 1)
    tasks.save(row.pk)
    row.refresh_from_db()
    assert (handed, row.state, row.attempts) == ([row.pk], SavedPairing.State.WANTED, 0)


def test_running_twice_and_five_messages_change_nothing(filmed: Pairing, stored_files: Path):
    row = made(save_picture(filmed, 0))
    kept, files = SavedPairing.objects.values().get(pk=row.pk), files_under(stored_files)
    for _ in range(5):
        tasks.save(row.pk)
    assert SavedPairing.objects.values().get(pk=row.pk) == kept
    assert files_under(stored_files) == files


def test_a_worker_that_lost_the_lease_leaves_nothing_behind(
    filmed: Pairing, monkeypatch: pytest.MonkeyPatch, stored_files: Path
):
    row = save_picture(filmed, 0)
    before = files_under(stored_files)
    real = making.compose

    def slow(*args: object, **kwargs: object) -> object:
        lapsed = timezone.now() - datetime.timedelta(seconds=1)
        SavedPairing.objects.filter(pk=row.pk).update(lease_until=lapsed)
        assert SavedPairing.claim(row.pk)
        return real(*args, **kwargs)

    monkeypatch.setattr(making, "compose", slow)
    tasks.save(row.pk)
    row.refresh_from_db()
    assert (row.state, bool(row.file)) == (SavedPairing.State.MAKING, False)
    assert files_under(stored_files) == before


def test_stopped_by_its_coach_a_film_leaves_nothing_behind(
    filmed: Pairing, monkeypatch: pytest.MonkeyPatch, stored_files: Path
):
    row = save_film(filmed, 0.25, [], 1)
    before = files_under(stored_files)
    real = making.beside.film

    def cancelled(*args: object, **kwargs: object) -> None:
        assert row.cancel()
        real(*args, **kwargs)

    monkeypatch.setattr(making.beside, "film", cancelled)
    monkeypatch.setattr(making.working, "PROGRESS_EVERY_S", 0.0)
    tasks.film(row.pk)
    row.refresh_from_db()
    assert row.is_cancelled
    assert files_under(stored_files) == before


def test_a_passing_fault_is_tried_three_times(filmed: Pairing, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(making.stills, "take", fails_with(ToolFailed("It stopped.", "")))
    row = save_picture(filmed, 0)
    states = []
    for _ in range(3):
        tasks.save(rested(row))
        row.refresh_from_db()
        states.append(row.state)
    assert states == ["wanted", "wanted", "failed"]
    assert (row.reason, row.may_pass_later) == ("It stopped.", True)


def test_a_fault_of_a_file_is_not_tried_again(filmed: Pairing, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(making.stills, "take", fails_with(Unreadable("Damaged.", "")))
    row = save_picture(filmed, 0)
    tasks.save(row.pk)
    row.refresh_from_db()
    assert (row.state, row.reason, row.may_pass_later) == ("failed", "Damaged.", False)


def test_an_original_that_is_gone_is_told(filmed: Pairing):
    default_storage.delete(filmed.sides.first().clip.original.name)
    row = save_picture(filmed, 0)
    tasks.save(row.pk)
    row.refresh_from_db()
    assert row.reason == making.LOST


def test_a_film_waits_for_the_frames_it_needs(filmed: Pairing):
    cuts = Cut.objects.filter(clip=filmed.sides.first().clip)
    cuts.update(state=Cut.State.WANTED)
    row = save_film(filmed, 1, [], 1)
    tasks.film(row.pk)
    row.refresh_from_db()
    assert (row.state, row.attempts) == (SavedPairing.State.WANTED, 0)
    assert row.waits_because == making.NOT_STEPPABLE
    cuts.update(reason=making.working.NO_ROOM)
    tasks.film(rested(row))
    row.refresh_from_db()
    assert (row.attempts, row.waits_because) == (0, making.working.NO_ROOM)


def test_where_a_cut_failed_the_film_says_why(filmed: Pairing):
    Cut.objects.filter(clip=filmed.sides.first().clip).update(
        state=Cut.State.FAILED, reason="Most of it is damaged."
    )
    row = save_film(filmed, 1, [], 1)
    tasks.film(row.pk)
    row.refresh_from_db()
    assert (row.state, row.reason) == ("failed", "Most of it is damaged.")


def test_one_that_takes_the_process_with_it_fails_in_the_end(filmed: Pairing):
    row = save_picture(filmed, 0)
    for _ in range(3):
        assert SavedPairing.claim(row.pk)
        SavedPairing.objects.update(lease_until=timezone.now() - datetime.timedelta(seconds=1))
    tasks.save(row.pk)
    row.refresh_from_db()
    assert (row.state, row.reason) == ("failed", making.GIVEN_UP)


def test_the_sweep_sends_one_that_was_never_sent(pairing: Pairing, saved_sent: list[int]):
    row = factories.SavedPairingFactory(pairing=pairing)
    sweep()
    assert saved_sent == [row.pk]
