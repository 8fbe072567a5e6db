"""Making a picture or a film of a pairing, from exact frames."""

from __future__ import annotations

from contextlib import ExitStack
from functools import partial
from pathlib import Path

import numpy as np
from PIL import Image, ImageOps

from lessons.clips import cuts, times, working
from lessons.clips.models import Clip
from lessons.clips.working import LeaseLost, NotYet
from lessons.marks.mark import Mark
from lessons.marks.picture import draw_marks, font_path, plain_letters
from lessons.marks.sight import Sight
from lessons.pairings.mirroring import mirrored_marks, mirrored_sight
from lessons.pairings.models import SavedPairing
from lessons.pairings.recipe import Ingredient, Recipe
from media_tools import beside, stills
from media_tools.beside.cells import compose, lay
from media_tools.errors import MediaError
from media_tools.source import look
from portal.files import local
from portal.work.lease import Lease

LONG_PX, FILM_LONG_PX = 1440, 960  # of the longer side of one swing's picture
QUALITY = 90
GIVEN_UP = "This could not be made. Try again in a while."
NOT_STEPPABLE = (
    "Every frame of these swings is not ready yet. This waits, and goes on by itself once they are."
)
LOST = "The original of a clip is not in the store any more, so its frames can't be taken."


class CutFailed(MediaError):
    """A cut that a film needs can't be made."""


def make(lease: Lease) -> None:
    """Make what the row asks for, put it in place, settle the row."""
    saved = SavedPairing.objects.get(pk=lease.pk)
    if working.is_spent(saved, lease, GIVEN_UP):
        return
    with working.outcomes(saved, lease, given_up=GIVEN_UP, lost=LOST):
        recipe = Recipe.from_json(saved.recipe)
        found = Clip.objects.in_bulk([side.clip for side in recipe.sides])
        clips = [found[side.clip] for side in recipe.sides if side.clip in found]
        if len(clips) < len(recipe.sides):
            raise FileNotFoundError("a clip of the pairing was deleted")
        with local.scratch_folder() as folder:
            if saved.is_film:
                _film(recipe, clips, folder, lease)
            else:
                _picture(recipe, clips, folder, lease)


def _picture(recipe: Recipe, clips: list[Clip], folder: Path, lease: Lease) -> None:
    working.begin(lease)
    frames = [
        _still(side, clip, warp.clip_us(recipe.begin_us))
        for side, clip, warp in zip(recipe.sides, clips, recipe.warps, strict=True)
    ]
    whole = _composed(recipe, frames, LONG_PX, recipe.words)
    path = folder / "pair.jpg"
    whole.save(path, "JPEG", quality=QUALITY, optimize=True)
    _settle(lease, whole, {"file": (path, "pairings/pair.jpg")})


def _film(recipe: Recipe, clips: list[Clip], folder: Path, lease: Lease) -> None:
    progress = working.begin(lease)
    laid, share = _laid(recipe, FILM_LONG_PX)
    path = folder / "film.mp4"
    shots = beside.shots(recipe.begin_us, recipe.end_us, recipe.speed, recipe.pauses)
    shots = [beside.Shot(s.clock_us, s.frames, _letters(s.words)) for s in shots]
    with ExitStack() as stack:
        reels = [
            _reel(stack, side, clip, warp, window)
            for side, clip, warp, window in zip(
                recipe.sides, clips, recipe.warps, recipe.windows, strict=True
            )
        ]
        beside.film(
            reels,
            shots,
            laid,
            share,
            path,
            opacity=recipe.opacity,
            font=font_path(),
            on_progress=progress.on_progress,
            should_stop=progress.should_stop,
        )
    first = recipe.pauses[0].clock_us if recipe.pauses else 0
    poster = stills.take(path, [beside.shown_us(shots, first)])[0].image
    poster_path = folder / "poster.jpg"
    poster.save(poster_path, "JPEG", quality=QUALITY, optimize=True)
    files = {
        "file": (path, "pairings/film.mp4"),
        "poster": (poster_path, "pairings/poster.jpg"),
    }
    _settle(lease, poster, files, duration_us=beside.length_us(shots))


def _settle(
    lease: Lease, whole: Image.Image, files: dict[str, tuple[Path, str]], **values: int
) -> None:
    with local.taken_back() as placed:
        names = {}
        for field, (path, name) in files.items():
            names[field] = local.keep(path, name)
            placed.append(names[field])
        settled = lease.settle(
            SavedPairing.State.READY,
            reason="",
            may_pass_later=False,
            progress_permille=1000,
            width_px=whole.width,
            height_px=whole.height,
            **names,
            **values,
        )
        if not settled:
            raise LeaseLost


def _laid(recipe: Recipe, long_px: int) -> tuple[beside.Layout, float]:
    first = recipe.sides[0]
    shape = (first.width_px, first.height_px)
    laid = beside.layout(len(recipe.sides), shape, long_px, over=recipe.over)
    return laid, laid.cell[0] / first.width_px


def _composed(recipe: Recipe, frames: list[Image.Image], long_px: int, words: str) -> Image.Image:
    laid, share = _laid(recipe, long_px)
    cells = []
    for frame, side, window in zip(frames, recipe.sides, recipe.windows, strict=True):
        # The original may have more pixels than what the window was measured in
        own = window.scaled(side.width_px / frame.width)
        cells.append(lay(frame, own, laid.cell, share))
    return compose(
        cells,
        laid,
        opacity=recipe.opacity,
        captions=[_letters(side.caption) for side in recipe.sides],
        words=_letters(words),
        font=font_path(),
    )


def _still(side: Ingredient, clip: Clip, clip_us: int) -> Image.Image:
    """The frame shown at a time, of the original, with its marks."""
    table = times.read(clip)
    index = times.shown_at(table, clip_us)
    asked = times.middle(table, index, clip.duration_us) + clip.offset_us
    with local.local_copy(clip.original) as original:
        [taken] = stills.take(original, [asked], look(original, working.limits()))
    image = ImageOps.mirror(taken.image) if side.mirrored else taken.image
    return _with_marks(side, table, image, table[index])


def _reel(
    stack: ExitStack, side: Ingredient, clip: Clip, warp: beside.Warp, window: beside.Window
) -> beside.Reel:
    cut = cuts.cut_around(clip, side.aligned_us)
    if cut.is_failed:
        raise CutFailed(cut.reason or GIVEN_UP, str(cut))
    if not cut.is_ready:
        raise NotYet(cut.waits_because or NOT_STEPPABLE)
    table = times.read(clip)
    return beside.Reel(
        path=stack.enter_context(local.local_copy(cut.study)),
        offset_us=cut.offset_us,
        times_us=np.array(table, dtype=np.int64),
        warp=warp,
        window=window,
        mirrored=side.mirrored,
        caption=_letters(side.caption),
        over=partial(_drawn, side, table) if side.marked else None,
    )


def _drawn(side: Ingredient, table: list[int], image: Image.Image, time_us: int) -> Image.Image:
    # A cut's times are rounded: the middle of what follows is surely within the frame
    return _with_marks(side, table, image, times.at(table, time_us + 500))


def _with_marks(
    side: Ingredient, table: list[int], image: Image.Image, time_us: int
) -> Image.Image:
    """The marks of the still of this very frame, if there is one, on its (mirrored) picture."""
    for frame in side.marked:
        if times.at(table, frame.time_us) != time_us:
            continue
        marks = [Mark.from_json(row) for row in frame.marks]
        sight = Sight(frame.view, frame.handed, frame.error_px)
        if side.mirrored:
            marks, sight = mirrored_marks(marks, frame.width_px), mirrored_sight(sight)
        size = image.size
        still = image.resize((frame.width_px, frame.height_px), Image.Resampling.BICUBIC)
        return draw_marks(still, marks, sight).resize(size, Image.Resampling.BICUBIC)
    return image


def _letters(words: str) -> str:
    """Pillow's own letters, where no font is installed, are few."""
    return words if font_path() else plain_letters(words)
