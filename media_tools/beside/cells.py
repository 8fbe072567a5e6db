"""One picture made of several: beside one another, or laid over one another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image, ImageDraw, ImageFont

from media_tools.beside.windows import Window

GAP_PX = 6
BEHIND = (22, 24, 28)  # where a picture does not reach
PLATE, INK = (22, 24, 28, 190), (255, 255, 255, 255)
LETTERS_AT_A_TIME = 200


@dataclass(frozen=True)
class Layout:
    """Size of the whole and of a cell, and where each cell's upper left corner is; in pixels."""

    size: tuple[int, int]
    cell: tuple[int, int]
    places: tuple[tuple[int, int], ...]
    over: bool = False


def layout(count: int, first_px: tuple[int, int], long_px: int, *, over: bool = False) -> Layout:
    """Cells of the first picture's shape, `long_px` at its longer side, never enlarged.

    Upright ones stand side by side, wide ones one below the other: so both fill a phone's width.
    Sizes are even, as video wants them.
    """
    width, height = first_px
    share = min(1.0, long_px / max(width, height))
    cell = (_even(width * share), _even(height * share))
    if over:
        return Layout(cell, cell, ((0, 0),) * count, over=True)
    along = 0 if height > width else 1
    step = cell[along] + GAP_PX
    places = tuple((k * step, 0) if along == 0 else (0, k * step) for k in range(count))
    whole = count * step - GAP_PX
    return Layout((whole, cell[1]) if along == 0 else (cell[0], whole), cell, places)


def compose(
    pictures: Sequence[Image.Image],
    laid: Layout,
    *,
    opacity: float = 0.5,
    captions: Sequence[str] = (),
    words: str = "",
    font: str = "",
) -> Image.Image:
    """The whole picture from what `lay` made of each.

    `opacity` is that of every picture laid over the first. Each caption stands at the foot of
    its picture, laid over one another line by line; `words` stand at the head of the whole.
    `font` is the path of a font file; '' takes Pillow's own, which knows few letters.
    """
    whole = Image.new("RGB", laid.size, BEHIND)
    for place, picture in zip(laid.places, pictures, strict=True):
        cover = picture.convert("RGBA").getchannel("A")
        if laid.over and picture is not pictures[0]:
            cover = cover.point([round(opacity * value) for value in range(256)])
        whole.paste(picture.convert("RGB"), place, cover)
    # 12 pixels high and more on a phone, over whose width of 390 the whole is shown
    size_px = max(14, round(min(laid.size[0] / 30, laid.cell[0] / 12)))
    letters = ImageFont.truetype(font, size_px) if font else ImageFont.load_default(size_px)
    brush = ImageDraw.Draw(whole, "RGBA")
    rows = 0
    for place, caption in zip(laid.places, captions, strict=False):
        if caption:
            rows = rows + 1 if laid.over else 1
            foot = place[1] + laid.cell[1] - rows * round(1.9 * size_px)
            _plate(brush, caption, (place[0], foot), laid.cell[0], letters, size_px)
    if words:
        _plate(brush, words, (0, 0), laid.size[0], letters, size_px, centred=True)
    return whole


def lay(picture: Image.Image, window: Window, cell: tuple[int, int], share: float) -> Image.Image:
    """A (mirrored) picture in its cell; `share` is the cell's size to that of the first picture.

    RGBA: clear where the picture does not reach. Only what is seen is resized, once.
    """
    scale, left, top = window.scale * share, window.left * share, window.top * share
    edges = []
    for start, length, most in ((left, picture.width, cell[0]), (top, picture.height, cell[1])):
        edges.append((max(0, round(start)), min(most, round(start + length * scale))))
    (x0, x1), (y0, y1) = edges
    whole = Image.new("RGBA", cell)
    if x1 > x0 and y1 > y0:
        box = (
            max(0.0, (x0 - left) / scale),
            max(0.0, (y0 - top) / scale),
            min(picture.width, (x1 - left) / scale),
            min(picture.height, (y1 - top) / scale),
        )
        seen = picture.resize((x1 - x0, y1 - y0), Image.Resampling.BICUBIC, box=box)
        whole.paste(seen.convert("RGBA"), (x0, y0))
    return whole


def _plate(
    brush: ImageDraw.ImageDraw,
    words: str,
    corner: tuple[int, int],
    width_px: int,
    letters: ImageFont.FreeTypeFont | ImageFont.ImageFont,
    size_px: int,
    *,
    centred: bool = False,
) -> None:
    """Words on a dark plate, no wider than the cell."""
    room = width_px - 1.2 * size_px
    shown = words[:LETTERS_AT_A_TIME]
    while len(shown) > 1 and brush.textlength(shown, letters) > room:
        shown = shown.rstrip("…")[:-1].rstrip() + "…"
    wide = round(brush.textlength(shown, letters) + 1.2 * size_px)
    left = corner[0] + (width_px - wide) // 2 if centred else corner[0]
    box = (left, corner[1], left + wide, corner[1] + round(1.9 * size_px))
    brush.rectangle(box, fill=PLATE)
    middle = (left + wide / 2, corner[1] + 0.95 * size_px)
    brush.text(middle, shown, fill=INK, font=letters, anchor="mm")


def _even(length_px: float) -> int:
    return max(2, 2 * round(length_px / 2))
