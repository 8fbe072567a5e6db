"""Draws the icons of the web app: the ruler of portal/icons/mark.svg as PNG.

    python -m lessons.practice.icons

writes them into static/practice/icons. Home screens want PNG, and a maskable one keeps what
matters inside the middle 80 % (W3C Web App Manifest, 'maskable').
"""

from __future__ import annotations

from pathlib import Path

from PIL import Image, ImageDraw

FOLDER = Path(__file__).parent / "static/practice/icons"
PAPER, INK, CLAY = "#fbf8f1", "#22252b", "#a8481f"
# In the units of mark.svg, 32 x 32: x, top, width; all stand on 24
TICKS = [(6, 19, 2.4), (11, 15, 2.4), (16, 7, 3.0), (21, 17, 2.4), (26, 20, 2.4)]
FINE = 4  # drawn larger, then made smaller for smooth edges


def draw(size_px: int, *, part: float = 1.0, round_corners: bool = True) -> Image.Image:
    """The mark in a square; `part` is how much of it the drawing fills."""
    side = size_px * FINE
    unit = side * part / 32
    edge = (side - 32 * unit) / 2
    image = Image.new("RGBA", (side, side), (0, 0, 0, 0) if round_corners else PAPER)
    pen = ImageDraw.Draw(image)
    if round_corners:
        pen.rounded_rectangle((0, 0, side - 1, side - 1), side * 7 / 32, fill=PAPER)
    for x, top, width in TICKS:
        half = width / 2
        box = [edge + unit * v for v in (x - half, top - half, x + half, 24 + half)]
        pen.rounded_rectangle(box, half * unit, fill=CLAY if x == 16 else INK)
    return image.resize((size_px, size_px), Image.Resampling.LANCZOS)


def main() -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    draw(192).save(FOLDER / "icon-192.png", optimize=True)
    draw(512).save(FOLDER / "icon-512.png", optimize=True)
    draw(512, part=0.72, round_corners=False).save(FOLDER / "maskable-512.png", optimize=True)
    draw(180, part=0.84, round_corners=False).save(FOLDER / "touch-180.png", optimize=True)


if __name__ == "__main__":
    main()
