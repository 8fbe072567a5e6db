"""The practice range behind the figure: sky, trees, mown grass, flags, mats and a bag.

Everything on the ground lies in the same world as the figure and goes through the same camera;
only the place of leaves, clouds and tufts is drawn by lot from the film's seed.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

from media_tools.mannequin.camera import Camera, stand
from media_tools.mannequin.params import RGB, Film, Swinger, View
from media_tools.mannequin.props import stand_bag
from media_tools.mannequin.vectors import vec

SKY = ((0.0, 118, 180, 216), (0.55, 184, 217, 227), (1.0, 249, 240, 219))
HILLS: tuple[RGB, RGB] = ((176, 197, 196), (150, 180, 166))
FAR_LEAF: tuple[RGB, RGB, RGB] = ((112, 150, 122), (126, 163, 130), (98, 136, 112))
NEAR_LEAF: tuple[RGB, RGB, RGB] = ((74, 116, 76), (93, 135, 84), (60, 100, 68))
GRASS_FAR, GRASS_NEAR = (171, 193, 117), (112, 153, 80)
GREEN: RGB = (139, 189, 108)
MAT_EDGE, MAT, MAT_STRIP = (50, 62, 58), (76, 124, 88), (92, 144, 100)
FLAGS: tuple[RGB, ...] = ((198, 74, 50), (240, 196, 72), (244, 242, 236), (58, 104, 160))
FINER = 2
BAG_AT: dict[View, tuple[float, float]] = {"face-on": (-1.25, -1.35), "down-the-line": (2.2, -1.7)}
NEAR_M = 0.6  # ground nearer to the lens than this is not drawn


class _Board:
    """The picture being painted, FINER times as fine as the film."""

    def __init__(self, camera: Camera, side: float) -> None:
        self.camera, self.side = camera, side
        width, height = camera.size_px
        self.image = Image.new("RGB", (width * FINER, height * FINER))
        self.pen = ImageDraw.Draw(self.image, "RGBA")
        self.horizon = (camera.centre_px[1] + 0.5) * FINER

    def spot(self, x: float, y: float, z: float) -> tuple[float, float, float]:
        """Column, row and pixels a metre of a place; z is mirrored for a left-hander's range."""
        column, row, depth = self.camera.pixels(vec(x, y, z * self.side))
        px = self.camera.focal_px / max(float(depth), NEAR_M) * FINER
        return float(column + 0.5) * FINER, float(row + 0.5) * FINER, px

    def ground(self, corners: list[tuple[float, float]], fill: tuple[int, ...]) -> None:
        """A patch of ground given by its (x, z) corners, cut off before the lens."""
        points = np.array([[x, 0.0, z * self.side] for x, z in corners])
        depth = (points - self.camera.eye) @ self.camera.ahead
        kept = []
        for k in range(len(points)):
            a, b = points[k - 1], points[k]
            da, db = depth[k - 1], depth[k]
            if (da > NEAR_M) != (db > NEAR_M):
                kept.append(a + (b - a) * ((NEAR_M - da) / (db - da)))
            if db > NEAR_M:
                kept.append(b)
        if len(kept) > 2:
            seen = self.camera.pixels(np.array(kept))
            self.pen.polygon(
                [((p[0] + 0.5) * FINER, (p[1] + 0.5) * FINER) for p in seen], fill=fill
            )


@lru_cache(maxsize=16)
def _painted(
    person: Swinger, view: View, size_px: tuple[int, int], zoom: float, seed: int
) -> NDArray[np.uint8]:
    camera = stand(person, view, size_px, zoom)
    lot = np.random.default_rng([seed, 7])
    board = _Board(camera, 1.0 if person.handed == "right" else -1.0)
    _sky(board, lot)
    _hills(board, lot)
    _grass(board, view)
    _trees(board, view, lot)
    _targets(board, view)
    _tufts(board, view, lot)
    _tee(board, view)
    bag_x, bag_z = BAG_AT[view]
    _dark(board, bag_x + 0.12, bag_z, 0.36, 0.2)
    _dark(board, bag_x - 0.3, bag_z + 0.2, 0.17, 0.12)
    small = board.image.reduce(FINER)
    picture = np.asarray(small).copy()
    stand_bag(picture, camera, vec(bag_x, 0.0, bag_z * board.side))
    picture.setflags(write=False)
    return picture


def backdrop(film: Film) -> NDArray[np.uint8]:
    """The range as an array of the film's size, (rows, columns, 3), not to be written to."""
    return _painted(film.swinger, film.view, film.size_px, film.zoom, film.seed)


def _sky(board: _Board, lot: np.random.Generator) -> None:
    width, height = board.image.size
    share = np.clip(np.arange(height) / max(board.horizon, 1), 0, 1)
    stops = np.array(SKY)
    column = np.stack([np.interp(share, stops[:, 0], stops[:, k]) for k in (1, 2, 3)], axis=1)
    rows = np.repeat(column[:, None, :], width, axis=1).astype(np.uint8)
    board.image.paste(Image.fromarray(rows))
    layer = Image.new("L", board.image.size, 0)
    span = board.horizon
    for k in range(6):
        x = (k + lot.uniform(0.1, 0.9)) / 6 * width * 1.1 - 0.05 * width
        y = lot.uniform(0.14, 0.62) * span
        size = lot.uniform(0.028, 0.05) * max(width, height) * (1.25 - 0.9 * y / span)
        cloud = _cloud(size, lot)
        left, top = round(x - cloud.width / 2), round(y - cloud.height)
        under = layer.crop((left, top, left + cloud.width, top + cloud.height))
        layer.paste(ImageChops.lighter(under, cloud), (left, top))
    layer = layer.filter(ImageFilter.GaussianBlur(max(width, height) / 900))
    board.image.paste((255, 253, 247), (0, 0), layer)


def _cloud(size: float, lot: np.random.Generator) -> Image.Image:
    """Puffs on a level foot, the largest in the middle; the foot is the mask's lower edge."""
    long = lot.uniform(1.6, 2.8)
    wide, tall = 2 * (long + 1.4) * size, 2.2 * size
    mask = Image.new("L", (round(wide), round(tall)), 0)
    pen = ImageDraw.Draw(mask)
    foot, middle = tall - 0.1 * size, wide / 2
    reach = (long + 0.5) * size
    pen.rounded_rectangle(
        (middle - reach, foot - 0.4 * size, middle + reach, foot), 0.2 * size, 215
    )
    for step in np.linspace(-long, long, 7):
        r = size * (1.0 - 0.62 * abs(step) / long) * lot.uniform(0.75, 1.1)
        x = middle + float(step) * size + lot.uniform(-0.2, 0.2) * size
        pen.ellipse((x - r * 1.1, foot - 1.5 * r, x + r * 1.1, foot + 0.1 * r), fill=215)
    pen.rectangle((0, foot, wide, tall), fill=0)
    return mask


def _hills(board: _Board, lot: np.random.Generator) -> None:
    width, _ = board.image.size
    unit_px = board.camera.focal_px * FINER
    x = np.linspace(0, width, 160)
    for colour, high, waves in ((HILLS[0], 0.085, 1.6), (HILLS[1], 0.055, 2.6)):
        phase = lot.uniform(0, 6.28, 3)
        shape = 0.6 + 0.25 * np.sin(waves * 6.28 * x / width + phase[0])
        shape += 0.15 * np.sin(waves * 2.3 * 6.28 * x / width + phase[1])
        rows = board.horizon - shape * high * unit_px
        outline = [*zip(x.tolist(), rows.tolist(), strict=True)]
        board.pen.polygon(
            [(0, board.horizon + 4), *outline, (width, board.horizon + 4)], fill=colour
        )


def _grass(board: _Board, view: View) -> None:
    width, height = board.image.size
    top = round(board.horizon)
    share = (np.arange(height - top) / max(height - top, 1))[:, None] ** 0.55
    column = np.array(GRASS_FAR) * (1 - share) + np.array(GRASS_NEAR) * share
    rows = np.repeat(column[:, None, :], width, axis=1).astype(np.uint8)
    board.image.paste(Image.fromarray(rows), (0, top))
    light = (255, 255, 214, 30)
    if view == "down-the-line":
        for k in range(-14, 15):
            z = k * 5.2 - 1.3
            board.ground([(2.6, z), (400, z), (400, z + 2.6), (2.6, z + 2.6)], light)
    else:
        for k in range(26):
            z = -1.9 - k * 2.6 * (1 + k * 0.12)
            deep = 1.3 * (1 + k * 0.24)
            board.ground([(-400, z), (400, z), (400, z - deep), (-400, z - deep)], light)


def _crown(
    board: _Board, lot: np.random.Generator, x: float, foot: float, r: float,
    leaves: tuple[RGB, RGB, RGB],
) -> None:  # fmt: skip
    """A round tree: a dark body, lit clumps up and to the left, its foot at row `foot`."""
    top = foot - 2.1 * r
    board.pen.rectangle((x - 0.07 * r, foot - 0.7 * r, x + 0.07 * r, foot), fill=(96, 82, 66))
    middle = top + r * 0.95
    for colour, shift, spread, count in (
        (leaves[2], 0.0, 0.62, 9), (leaves[0], -0.10, 0.52, 8), (leaves[1], -0.30, 0.40, 6)
    ):  # fmt: skip
        for _ in range(count):
            angle, far = lot.uniform(0, 6.283), np.sqrt(lot.uniform(0, 1)) * spread * r
            cx = x + float(np.cos(angle)) * far * 1.1 + shift * r
            cy = middle + float(np.sin(angle)) * far * 0.85 + shift * 0.9 * r
            size = r * lot.uniform(0.26, 0.46) * (1.0 if colour is not leaves[1] else 0.62)
            board.pen.ellipse(
                (cx - size, cy - size * 0.92, cx + size, cy + size * 0.92), fill=colour
            )


def _trees(board: _Board, view: View, lot: np.random.Generator) -> None:
    far = 170.0 if view == "down-the-line" else 95.0
    for distance, high, leaves, step, gap in (
        (far, 12.0, FAR_LEAF, 6.5, 0.0), (far * 0.72, 10.0, NEAR_LEAF, 8.0, 0.42)
    ):  # fmt: skip
        half = (board.camera.size_px[0] / 2 / board.camera.focal_px + 0.05) * (distance + 5)
        across_m = np.arange(-half, half + step, step)
        for a in across_m:
            here = float(a) + lot.uniform(-2, 2)
            tall = high * lot.uniform(0.75, 1.2)
            if gap and abs(here) < gap * half * lot.uniform(0.8, 1.4):
                continue
            spot = (distance, 0.0, here) if view == "down-the-line" else (here, 0.0, -distance)
            column, row, px = board.spot(*spot)
            _crown(board, lot, column, row + 0.2 * px, tall * px / 2.1, leaves)
        column, row, px = board.spot(
            *((distance, 0, 0) if view == "down-the-line" else (0, 0, -distance))
        )
        width = board.image.size[0]
        board.pen.rectangle((0, row - 0.1 * px, width, row + 0.55 * px), fill=(*leaves[2], 90))


def _dark(board: _Board, x: float, z: float, wide: float, deep: float) -> None:
    """A soft-edged shadow under a thing that stands on the grass."""
    turn = np.linspace(0, 2 * np.pi, 32)
    for share in (1.0, 0.85, 0.7):
        edge = [
            (x + share * wide * float(np.cos(t)), z + share * deep * float(np.sin(t))) for t in turn
        ]
        board.ground(edge, (36, 66, 40, 48))


def _targets(board: _Board, view: View) -> None:
    places = (
        ((46, 7.5, 5.0, "50"), (92, -17, 8.0, "100"), (128, 15, 9.0, "150"))
        if view == "down-the-line"
        else ((7.5, -34, 3.4, ""), (13, -60, 5.0, ""), (-9, -48, 4.2, ""))
    )
    for k, (x, z, r, words) in enumerate(places):
        turn = np.linspace(0, 2 * np.pi, 40)
        edge = [(x + 1.25 * r * float(np.cos(t)), z + 1.25 * r * float(np.sin(t))) for t in turn]
        board.ground(edge, (*GREEN, 120))
        edge = [(x + r * float(np.cos(t)), z + r * float(np.sin(t))) for t in turn]
        board.ground(edge, (*GREEN, 255))
        column, row, px = board.spot(x, 0, z)
        tall, thick = 3.4 * px, max(0.06 * px, 2.0)
        board.pen.ellipse((column - 0.9 * px, row - 0.12 * px, column + 0.9 * px, row + 0.16 * px),
                          fill=(70, 110, 66, 90))  # fmt: skip
        board.pen.rectangle(
            (column - thick / 2, row - tall, column + thick / 2, row), fill=(236, 232, 220)
        )
        wave = [
            (0, 0),
            (0.45, 0.10),
            (0.95, 0.02),
            (1.42, 0.16),
            (1.38, 0.62),
            (0.9, 0.86),
            (0.45, 0.92),
            (0, 0.9),
        ]
        board.pen.polygon(
            [(column + thick / 2 + u * px, row - tall + v * px) for u, v in wave], fill=FLAGS[k]
        )
        if words:
            _sign(board, x, z + (1.1 * r if z > 0 else -1.8 * r), words)


def _sign(board: _Board, x: float, z: float, words: str) -> None:
    column, row, px = board.spot(x, 0, z)
    w, h = 1.35 * px, 0.85 * px
    board.pen.rectangle(
        (column - 0.06 * px, row - 1.2 * px, column + 0.06 * px, row), fill=(150, 128, 100)
    )
    top = row - 1.2 * px - h / 2
    board.pen.rounded_rectangle(
        (column - w, top - h / 2, column + w, top + h), h * 0.2, fill=(250, 246, 234)
    )
    font = ImageFont.load_default(size=max(h * 1.25, 6))
    board.pen.text((column, top + h * 0.25), words, fill=(60, 70, 66), font=font, anchor="mm")


def _tufts(board: _Board, view: View, lot: np.random.Generator) -> None:
    """Short strokes that break up the grass near the camera."""
    for _ in range(700):
        ahead, aside = 3.2 + 15 * lot.uniform(0, 1) ** 1.4, lot.uniform(-1, 1)
        aside *= 0.62 * ahead
        spot = (
            (ahead - 4.8, 0.0, 0.2 + aside)
            if view == "down-the-line"
            else (aside, 0.0, 4.8 - ahead)
        )
        column, row, px = board.spot(*spot)
        tall, lean = 0.028 * px * lot.uniform(0.5, 1.2), 0.012 * px * lot.uniform(-1, 1)
        colour = (196, 214, 130, 70) if lot.uniform() < 0.5 else (66, 106, 58, 60)
        board.pen.line(
            (column, row, column + lean, row - tall), fill=colour, width=max(round(0.008 * px), 1)
        )


def _tee(board: _Board, view: View) -> None:
    """The tee line: a mat a bay, a rope ahead of them, a basket of balls."""
    bays = (-9.6, -6.4, -3.2, 0.0) if view == "face-on" else (-6.4, -3.2, 6.4, 3.2, 0.0)
    for bay in bays:
        left, right, back, front = -0.85, 0.85, bay - 0.62, bay + 1.12
        rim = 0.035
        shade = [
            (left - 0.02, back),
            (right + 0.09, back),
            (right + 0.09, front + 0.07),
            (left, front + 0.07),
        ]
        board.ground(shade, (40, 70, 40, 90))
        board.ground([(left, back), (right, back), (right, front), (left, front)], (*MAT_EDGE, 255))
        inner = [
            (left + rim, back + rim),
            (right - rim, back + rim),
            (right - rim, front - rim),
            (left + rim, front - rim),
        ]
        board.ground(inner, (*MAT, 255))
        strip = [
            (left + rim, bay + 0.56),
            (right - rim, bay + 0.56),
            (right - rim, bay + 1.0),
            (left + rim, bay + 1.0),
        ]
        board.ground(strip, (*MAT_STRIP, 255))
        for z in (bay + 0.55, bay + 1.0):
            line = [
                (left + rim, z),
                (right - rim, z),
                (right - rim, z + 0.012),
                (left + rim, z + 0.012),
            ]
            board.ground(line, (236, 240, 224, 200))
    posts = [board.spot(3.1, 0, z) for z in np.arange(-14.4, 15, 3.2)]
    if view == "down-the-line":
        tops = [(c, r - 0.42 * px) for c, r, px in posts]
        for one, two in pairwise(tops):
            sag = [
                (
                    one[0] + (two[0] - one[0]) * t,
                    one[1]
                    + (two[1] - one[1]) * t
                    + 0.36 * abs(two[0] - one[0]) * t * (1 - t) * 0.3,
                )
                for t in np.linspace(0, 1, 12)
            ]
            board.pen.line(sag, fill=(226, 214, 186), width=max(round(0.022 * posts[0][2]), 2))
        for c, r, px in posts:
            board.pen.rounded_rectangle(
                (c - 0.035 * px, r - 0.5 * px, c + 0.035 * px, r), 0.02 * px, fill=(142, 112, 82)
            )
            board.pen.rectangle(
                (c - 0.035 * px, r - 0.5 * px, c - 0.01 * px, r), fill=(166, 134, 100)
            )
