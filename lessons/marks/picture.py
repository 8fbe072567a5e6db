"""Marks drawn into a picture on the server, for letters and for keeping."""

from __future__ import annotations

import functools
import io
import math
import unicodedata
from collections.abc import Iterable
from pathlib import Path
from typing import BinaryIO

from PIL import Image, ImageDraw, ImageFont

from lessons.marks import paths
from lessons.marks.drawing import Frame
from lessons.marks.geometry import Point
from lessons.marks.mark import Mark
from lessons.marks.shapes import Layer, Text, shape_of

FINER = 4  # edges are smoothed by drawing this many times larger
CAP_STEPS = 10  # corners in a half circle
JPEG_QUALITY = 88
# Bold faces with Western, Greek and Cyrillic letters; the first one found draws
FONTS = ("LiberationSans-Bold.ttf", "DejaVuSans-Bold.ttf", "Arial Bold.ttf", "arialbd.ttf")


def draw_marks(image: Image.Image, marks: Iterable[Mark]) -> Image.Image:
    """A copy of the picture (RGB) with the marks on it, as a browser draws their SVG.

    Marks' coordinates are pixels of this picture: one of another size must be brought to the
    still's size first.
    """
    canvas = image.convert("RGB")
    frame = Frame(*canvas.size)
    for mark in marks:
        shape = shape_of(mark, frame)
        for layer in shape.layers:
            _draw_layer(canvas, layer)
        if shape.text:
            _draw_text(canvas, shape.text)
    return canvas


def marked_jpeg(picture: BinaryIO, marks: Iterable[Mark]) -> bytes:
    """A still's stored picture with its marks, as a JPEG without the camera's data."""
    with Image.open(picture) as image:
        drawn = draw_marks(image, marks)
    out = io.BytesIO()
    drawn.save(out, "JPEG", quality=JPEG_QUALITY, optimize=True)
    return out.getvalue()


def _draw_layer(canvas: Image.Image, layer: Layer) -> None:
    """Paint one outline: masks of its stroke and its fill at a finer grain, brought down."""
    parts = paths.flatten(layer.path)
    points = [point for part, _ in parts for point in part]
    spare = layer.width / 2 + 1
    left = max(0, math.floor(min(x for x, _ in points) - spare))
    top = max(0, math.floor(min(y for _, y in points) - spare))
    right = min(canvas.width, math.ceil(max(x for x, _ in points) + spare))
    bottom = min(canvas.height, math.ceil(max(y for _, y in points) + spare))
    if right <= left or bottom <= top:
        return

    def fine(point: Point) -> Point:
        # Pillow paints the dots whose centres lie inside
        return (point[0] - left) * FINER - 0.5, (point[1] - top) * FINER - 0.5

    size = ((right - left) * FINER, (bottom - top) * FINER)
    for colour, paint in ((layer.fill, _fill), (layer.stroke, _stroke)):
        if not colour:
            continue
        mask = Image.new("L", size)
        brush = ImageDraw.Draw(mask)
        for part, closed in parts:
            paint(brush, [fine(point) for point in part], closed, layer.width * FINER / 2)
        canvas.paste(colour, (left, top), mask.reduce(FINER))


def _fill(brush: ImageDraw.ImageDraw, part: list[Point], closed: bool, radius: float) -> None:
    brush.polygon(part, fill=255)


def _stroke(brush: ImageDraw.ImageDraw, part: list[Point], closed: bool, radius: float) -> None:
    """Round ends and round joins: each piece is a capsule."""
    ends = [*part[1:], part[0]] if closed else part[1:]
    for a, b in zip(part, ends, strict=False):
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
