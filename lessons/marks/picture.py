"""Marks drawn into a picture on the server, for letters and for keeping."""

from __future__ import annotations

import functools
import io
import itertools
import math
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import BinaryIO

from PIL import Image, ImageChops, ImageDraw, ImageFont

from lessons.marks import paths
from lessons.marks.drawing import Frame
from lessons.marks.geometry import Point, distance
from lessons.marks.mark import Mark
from lessons.marks.measures import said
from lessons.marks.shapes import Layer, Text, shapes_of
from lessons.marks.sight import Sight

FINER = 8
RUN_PX = 160  # a stroke is drawn in pieces of this size
CAP_STEPS = 10  # corners in a half circle
JPEG_QUALITY = 88
# Bold faces with Western, Greek and Cyrillic letters; the first one found draws
FONTS = ("LiberationSans-Bold.ttf", "DejaVuSans-Bold.ttf", "Arial Bold.ttf", "arialbd.ttf")

Drawer = Callable[[ImageDraw.ImageDraw, list[Point], float], None]


def draw_marks(
    image: Image.Image, marks: Sequence[Mark], sight: Sight | None = None
) -> Image.Image:
    """A copy of the picture (RGB) with the marks on it, as a browser draws their SVG.

    Marks' coordinates are pixels of this picture: one of another size must be brought to the
    still's size first. `sight` gives the words of their measures.
    """
    canvas = image.convert("RGB")
    frame = Frame(*canvas.size)
    for shape in shapes_of(marks, frame, [said(mark, marks, sight or Sight()) for mark in marks]):
        for layer in shape.layers:
            _draw_layer(canvas, layer)
        if shape.text:
            _draw_text(canvas, shape.text)
    return canvas


def marked_jpeg(picture: BinaryIO, marks: Sequence[Mark], sight: Sight) -> bytes:
    """A still's stored picture with its marks, as a JPEG without the camera's data."""
    with Image.open(picture) as image:
        drawn = draw_marks(image, marks, sight)
    out = io.BytesIO()
    drawn.save(out, "JPEG", quality=JPEG_QUALITY, optimize=True)
    return out.getvalue()


def _draw_layer(canvas: Image.Image, layer: Layer) -> None:
    """Paint the fill and then the stroke of one outline, as SVG does."""
    parts = paths.flatten(layer.path)
    if layer.fill:
        cover = Cover(canvas.size)
        for part, _ in parts:
            cover.add(part, 0, _fill)
        cover.paint(canvas, layer.fill)
    if layer.stroke:
        cover = Cover(canvas.size)
        for part, closed in parts:
            for run in runs([*part, part[0]] if closed else part):
                cover.add(run, layer.width / 2, _stroke)
        cover.paint(canvas, layer.stroke)


class Cover:
    """How much of each pixel an outline covers: made of small pieces drawn at a finer grain."""

    def __init__(self, size: tuple[int, int]) -> None:
        self.size = size
        self.mask = Image.new("L", size)
        self.box: tuple[int, int, int, int] | None = None

    def add(self, points: list[Point], radius: float, draw: Drawer) -> None:
        """Add what `draw` paints of these points; `radius` is half the stroke's width."""
        left = max(0, math.floor(min(x for x, _ in points) - radius - 1))
        top = max(0, math.floor(min(y for _, y in points) - radius - 1))
        right = min(self.size[0], math.ceil(max(x for x, _ in points) + radius + 1))
        bottom = min(self.size[1], math.ceil(max(y for _, y in points) + radius + 1))
        if right <= left or bottom <= top:
            return
        box = (left, top, right, bottom)
        fine = Image.new("L", ((right - left) * FINER, (bottom - top) * FINER))
        # A dot is painted if its centre lies inside
        at = [((x - left) * FINER - 0.5, (y - top) * FINER - 0.5) for x, y in points]
        draw(ImageDraw.Draw(fine), at, radius * FINER)
        self.mask.paste(ImageChops.lighter(self.mask.crop(box), fine.reduce(FINER)), box)
        self.box = box if self.box is None else _around(self.box, box)

    def paint(self, canvas: Image.Image, colour: str) -> None:
        if self.box is not None:
            canvas.paste(colour, self.box, self.mask.crop(self.box))


def _around(a: tuple[int, ...], b: tuple[int, ...]) -> tuple[int, int, int, int]:
    return min(a[0], b[0]), min(a[1], b[1]), max(a[2], b[2]), max(a[3], b[3])


def runs(points: Sequence[Point], longest: float = RUN_PX) -> Iterator[list[Point]]:
    """A polyline cut into runs that begin where the last one ended, none wider than `longest`.

    Without it a frame round the whole picture would need a fine mask as large as the picture.
    """
    run = [points[0]]
    left = right = points[0][0]
    top = bottom = points[0][1]
    for a, b in itertools.pairwise(points):
        pieces = max(1, math.ceil(distance(a, b) / longest))
        for piece in range(1, pieces + 1):
            share = piece / pieces
            x, y = a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
            if max(right, x) - min(left, x) > longest or max(bottom, y) - min(top, y) > longest:
                yield run
                run = run[-1:]
                left = right = run[0][0]
                top = bottom = run[0][1]
            run.append((x, y))
            left, right, top, bottom = min(left, x), max(right, x), min(top, y), max(bottom, y)
    yield run


def _fill(brush: ImageDraw.ImageDraw, points: list[Point], radius: float) -> None:
    brush.polygon(points, fill=255)


def _stroke(brush: ImageDraw.ImageDraw, points: list[Point], radius: float) -> None:
    """Round ends and round joins: each piece is a capsule."""
    # Pillow also paints the dots on a polygon's edge: half a dot too much all round
    radius = max(0.5, radius - 0.5)
    for a, b in itertools.pairwise(points):
        along = math.atan2(b[1] - a[1], b[0] - a[0])
        outline = []
        for centre, start in ((b, along - math.pi / 2), (a, along + math.pi / 2)):
            for step in range(CAP_STEPS + 1):
                angle = start + math.pi * step / CAP_STEPS
                outline.append(
                    (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))
                )
        brush.polygon(outline, fill=255)


def _draw_text(canvas: Image.Image, text: Text) -> None:
    """Words in the font at hand, fitted to the width that the browser fits them to."""
    path = font_path()
    words = text.words if path else plain_letters(text.words)
    font = _font(path, text.size * FINER)
    wide = max(1, math.ceil(font.getlength(words)))
    above, below = math.ceil(text.size * FINER), math.ceil(text.size * FINER * 0.4)
    mask = Image.new("L", (wide, above + below))
    ImageDraw.Draw(mask).text((0, above), words, fill=255, font=font, anchor="ls")
    size = (max(1, round(text.width)), max(1, round((above + below) / FINER)))
    fitted = mask.resize(size, Image.Resampling.BOX)
    canvas.paste(text.colour, (round(text.x), round(text.y - above / FINER)), fitted)


@functools.cache
def font_path() -> str:
    """The first of FONTS that is installed; '' if none is: Pillow's own font then draws."""
    for name in FONTS:
        try:
            return str(ImageFont.truetype(name).path)
        except OSError:
            continue
    return ""


def _font(path: str, size: float) -> ImageFont.FreeTypeFont:
    if path:
        return ImageFont.truetype(Path(path), size)
    font = ImageFont.load_default(size)
    assert isinstance(font, ImageFont.FreeTypeFont)  # noqa: S101 - Pillow is built with FreeType
    return font


def plain_letters(text: str) -> str:
    """Text without accents: Pillow's own font has none ('Füße' becomes 'Fusse')."""
    split = unicodedata.normalize("NFKD", text.replace("ß", "ss"))
    return "".join(letter for letter in split if not unicodedata.combining(letter))
