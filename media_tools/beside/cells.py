"""One picture made of several: beside one another, or laid over one another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image, ImageDraw, ImageFont

from media_tools.beside.windows import Window

GAP_PX = 6
BEHIND = (22, 24, 28)  # where a picture does not reach
PLATE, INK = (22, 24, 28, 190), (255, 255, 255, 255)
LETTERS_AT_A_TIME, LINES_AT_MOST = 200, 2


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
    its picture, in two lines if need be, laid over one another one above the other; `words` stand
    at the head of the whole.
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
    taken_px = 0
    for place, caption in zip(laid.places, captions, strict=False):
        if caption:
            lines = _lines(brush, caption, laid.cell[0] - 1.2 * size_px, letters)
            taken_px = (taken_px if laid.over else 0) + _high(lines, size_px)
            _plate(brush, lines, (place[0], place[1] + laid.cell[1] - taken_px), letters, size_px)
    if words:
        lines = _lines(brush, words, laid.size[0] - 1.2 * size_px, letters)
        _plate(brush, lines, (0, 0), letters, size_px, centred_px=laid.size[0])
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


Letters = ImageFont.FreeTypeFont | ImageFont.ImageFont


def _lines(brush: ImageDraw.ImageDraw, words: str, room_px: float, letters: Letters) -> list[str]:
    """Words in lines no wider than their room; what is too long for the last is cut."""
    rest = words[:LETTERS_AT_A_TIME].split()
    lines: list[str] = []
    while rest and len(lines) < LINES_AT_MOST - 1:
        count = len(rest)
        while count > 1 and brush.textlength(" ".join(rest[:count]), letters) > room_px:
            count -= 1
        lines.append(" ".join(rest[:count]))
        rest = rest[count:]
    lines += [" ".join(rest)] if rest else []
    return [_cut(brush, line, room_px, letters) for line in lines]


def _cut(brush: ImageDraw.ImageDraw, line: str, room_px: float, letters: Letters) -> str:
    while len(line) > 1 and brush.textlength(line, letters) > room_px:
        line = line.rstrip("…")[:-1].rstrip() + "…"
    return line


def _high(lines: Sequence[str], size_px: int) -> int:
    """How high the plate of so many lines is."""
    return round((0.6 + 1.3 * len(lines)) * size_px)


def _plate(
    brush: ImageDraw.ImageDraw,
    lines: Sequence[str],
    corner: tuple[int, int],
    letters: Letters,
    size_px: int,
    *,
    centred_px: int = 0,
) -> None:
    """Lines on a dark plate, in the middle of a width where that is given."""
    longest = max((brush.textlength(line, letters) for line in lines), default=0)
    wide = round(longest + 1.2 * size_px)
    left = corner[0] + (centred_px - wide) // 2 if centred_px else corner[0]
    brush.rectangle((left, corner[1], left + wide, corner[1] + _high(lines, size_px)), fill=PLATE)
    for number, line in enumerate(lines):
        middle = (left + wide / 2, corner[1] + (0.95 + 1.3 * number) * size_px)
        brush.text(middle, line, fill=INK, font=letters, anchor="mm")


def _even(length_px: float) -> int:
    return max(2, 2 * round(length_px / 2))
