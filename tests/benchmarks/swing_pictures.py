"""Pictures for the benchmark of swing finding: the mannequin's swings, and what disturbs them.

A swinger's swings are drawn once; a clip strings them together with waits, waggles, rehearsals
and walks, and lays over it what phones see on a range: a hand that shakes, passers-by, light that
changes, leaves in the wind, the phone being picked up. All of it follows from the seed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from media_tools.mannequin import BUILDS, Film, SwingSpec, TimedSwing, swaying, swinger
from media_tools.mannequin.frames import draw_array
from media_tools.mannequin.motion import key_times_s
from media_tools.mannequin.scene import backdrop

RATE_HZ = 60
GAP_S = 3.0  # from a finish to the next P1: long enough to come back and settle
RETURN_S = (0.7, 2.4)  # of that gap, when the figure moves
Grey = NDArray[np.uint8]
Float = NDArray[np.float32]


@dataclass(frozen=True)
class DrawnSwing:
    """One swing as drawn: frames at 60 a second from P1; frame 0 is address."""

    frames: list[Grey]  # P1 to P10
    back: list[Grey]  # from the finish back to address
    p4: float  # in frames
    p7: float
    p10: float
    p2: int


@dataclass(frozen=True)
class Swinger:
    """One person before one camera, and their swings."""

    swings: list[DrawnSwing]
    empty: Grey  # the range without the person


@dataclass(frozen=True)
class TrueSwing:
    """When a swing is, in microseconds from the first frame."""

    begin_us: int
    top_us: int
    strike_us: int
    finish_us: int
    is_practice: bool


def grey(picture: NDArray[np.uint8]) -> Grey:
    """Half the size, as the motion picture is made: area averages of luma."""
    small = Image.fromarray(picture).convert("L").reduce(2)
    return np.asarray(small).copy()


def draw_swinger(seed: int, swings: int = 3) -> Swinger:
    """Draw a person's swings; about 2 s of work for each."""
    dice = np.random.default_rng([seed, 1])
    tint = {
        part: tuple(int(v) for v in dice.integers(20, 245, 3)) for part in ("shirt", "trousers")
    }
    who = swinger(
        str(dice.choice(list(BUILDS))), handed="left" if dice.random() < 0.25 else "right", **tint
    )  # type: ignore[arg-type]
    specs, start, timed = [], 0.5, []
    club = str(dice.choice(["iron", "wedge", "driver"]))
    for _ in range(swings):
        backswing = dice.uniform(0.55, 1.2)
        # quartiles 3.0 and 4.1: the event labels of GolfDB (arXiv 1903.06528)
        ratio = float(np.exp(np.log(3.43) + 0.22 * dice.standard_normal()))
        downswing = float(np.clip(backswing / ratio, 0.19, 0.42))
        sway, lift = swaying(dice.uniform(0, 0.08), rise_m=dice.uniform(-0.03, 0.05))
        spec = SwingSpec(
            *(round(backswing, 3), round(downswing, 3), sway, lift),
            release=dice.uniform(0, 0.6),
            plane_deg=dice.uniform(-8, 10),
            club=club,  # type: ignore[arg-type]
        )
        specs.append(spec)
        timed.append(TimedSwing(start, spec))
        end = start + key_times_s(spec)["P10"]
        start = np.ceil((end + GAP_S) * RATE_HZ) / RATE_HZ
    portrait = dice.random() < 0.5
    film = Film(
        swinger=who,
        swings=(*timed, TimedSwing(start)),
        view="face-on" if dice.random() < 0.5 else "down-the-line",
        size_px=(102, 180) if portrait else (320, 180),
        zoom=dice.uniform(0.65, 1.1),
        seed=int(dice.integers(1 << 30)),
    )
    drawn = []
    for item in timed:
        keys = key_times_s(item.swing)
        first = round(item.start_s * RATE_HZ)
        last = first + int(np.ceil(keys["P10"] * RATE_HZ))
        end_s = item.start_s + keys["P10"]
        a, b = (round((end_s + s) * RATE_HZ) for s in RETURN_S)
        drawn.append(
            DrawnSwing(
                [grey(draw_array(film, k, 1)) for k in range(first, last + 1)],
                [grey(draw_array(film, k, 1)) for k in range(a, b + 1)],
                keys["P4"] * RATE_HZ,
                keys["P7"] * RATE_HZ,
                keys["P10"] * RATE_HZ,
                int(keys["P2"] * RATE_HZ),
            )
        )
    return Swinger(drawn, grey(backdrop(film)))


@dataclass(frozen=True)
class Scene:
    """A clip's frames before anything is laid over them, and what is true of them."""

    frames: list[Grey | Float]
    empty: Grey  # the same without the swinger
    swings: list[TrueSwing]
    moments: list[tuple[str, float]]  # other things that happen, in seconds


def arrange(who: Swinger, dice: np.random.Generator, count: int, step: int) -> Scene:
    """String swings together; `step` 2 takes every other frame (30 a second)."""
    frames: list[Grey | Float] = []
    swings: list[TrueSwing] = []
    moments: list[tuple[str, float]] = []

    def mark(what: str) -> None:
        moments.append((what, len(frames) / RATE_HZ))

    def wait(least: float, most: float) -> None:
        frames.extend([frames[-1]] * round(dice.uniform(least, most) * RATE_HZ))

    def forth_and_back(source: DrawnSwing, upto: int, slow: float) -> None:
        there = np.arange(0, upto, 1 / slow)
        away = np.arange(upto, 0, -1 / (slow * dice.uniform(0.9, 1.6)))
        frames.extend(_between(source.frames, k) for k in (*there, *away))

    address = who.swings[0].frames[0]
    frames.append(address)
    if dice.random() < 0.4:
        mark("walk in")
        frames[-1:] = _walk(who, address, dice)
    wait(0.3, 2.5)
    for _ in range(count):
        swing = who.swings[int(dice.integers(len(who.swings)))]
        if dice.random() < 0.3:
            mark("tee up")
            frames.extend(_crouch(who, address, dice))
            wait(0.3, 1.0)
        for _ in range(int(dice.integers(0, 4)) if dice.random() < 0.6 else 0):
            mark("waggle")
            forth_and_back(swing, round(swing.p2 * dice.uniform(0.3, 0.9)), dice.uniform(1, 2))
            wait(0.0, 0.3)
        if dice.random() < 0.2:
            mark("rehearsal")
            forth_and_back(swing, round(swing.p4 * dice.uniform(0.7, 1.0)), dice.uniform(1, 2))
        wait(0.35, 1.6)
        at = len(frames)
        times = [round((at + f) / RATE_HZ * 1e6) for f in (0, swing.p4, swing.p7, swing.p10)]
        swings.append(TrueSwing(*times, is_practice=bool(dice.random() < 0.2)))
        frames.extend(swing.frames)
        wait(0.3, 1.3)
        frames.extend(swing.back)
        wait(0.3, 1.6)
    if dice.random() < 0.3:
        mark("picked up")
        frames.extend([frames[-1]] * round(1.5 * RATE_HZ))
    return Scene(frames[::step], who.empty, swings, moments)


def _between(frames: list[Grey], place: float) -> Float:
    """The picture between two frames, each in its share."""
    k, part = int(place), place % 1
    after = frames[min(k + 1, len(frames) - 1)]
    return frames[k] * np.float32(1 - part) + after * np.float32(part)


def _figure(who: Swinger, frame: Grey) -> tuple[Float, tuple[int, int, int, int]]:
    """Where the figure is in a frame, 0 to 1, and the box around it."""
    apart = np.abs(frame.astype(np.int16) - who.empty) > 2
    rows, columns = np.nonzero(apart)
    box = (rows.min(), rows.max() + 1, columns.min(), columns.max() + 1)
    return apart.astype(np.float32), tuple(int(v) for v in box)  # type: ignore[return-value]


def _walk(who: Swinger, address: Grey, dice: np.random.Generator) -> list[Grey | Float]:
    """The figure coming in from the side, bobbing as it walks."""
    mask, _ = _figure(who, address)
    wide = address.shape[1]
    count = round(dice.uniform(1.5, 3.5) * RATE_HZ)
    side = dice.choice([-1, 1])
    found: list[Grey | Float] = []
    for k in range(count):
        left = side * (1 - (k + 1) / count) ** 1.3 * wide * 0.8
        bob = 1.2 * abs(np.sin(k / RATE_HZ * 2 * np.pi * 0.95))
        inside = shifted(mask, -left, bob)
        body = shifted(address.astype(np.float32), -left, bob)
        found.append(who.empty * (1 - inside) + body * inside)
    return found


def _crouch(who: Swinger, address: Grey, dice: np.random.Generator) -> list[Grey | Float]:
    """The figure bending down to tee a ball and coming up again."""
    mask, (top, bottom, _, _) = _figure(who, address)
    down, stay, up = (round(dice.uniform(*r) * RATE_HZ) for r in ((0.5, 1), (0.2, 1), (0.5, 1)))
    low = dice.uniform(0.55, 0.75)
    tall = np.concatenate([np.linspace(1, low, down), np.full(stay, low), np.linspace(low, 1, up)])
    rows = np.arange(address.shape[0])
    found: list[Grey | Float] = []
    for k, share in enumerate(tall):
        share = 1 - (1 - share) * (0.9 + 0.1 * np.sin(k / 9))
        source = np.clip(bottom - (bottom - rows) / share, 0, len(rows) - 1)
        near = source.astype(int)
        part = (source - near)[:, None].astype(np.float32)
        after = np.minimum(near + 1, len(rows) - 1)
        inside = mask[near] * (rows >= top)[:, None]
        body = address[near] * (1 - part) + address[after] * part
        found.append(who.empty * (1 - inside) + body * inside)
    return found


def shifted(frame: Float, right: float, down: float) -> Float:
    """A frame seen by a camera that moved by parts of pixels; edges are drawn out."""
    if right:
        frame = _along(frame, right)
    return np.ascontiguousarray(_along(frame.T, down).T) if down else frame


def _along(frame: Float, by: float) -> Float:
    """Columns moved by part of a pixel, interpolated by Catmull and Rom's cubic."""
    whole = int(np.floor(by))
    t = by - whole
    weights = (
        (-t + 2 * t**2 - t**3) / 2,
        (2 - 5 * t**2 + 3 * t**3) / 2,
        (t + 4 * t**2 - 3 * t**3) / 2,
        (t**3 - t**2) / 2,
    )
    columns = np.arange(frame.shape[1]) + whole
    last = frame.shape[1] - 1
    taps = (frame[:, np.clip(columns + k - 1, 0, last)] * np.float32(w)
            for k, w in enumerate(weights))  # fmt: skip
    result: Float = sum(taps, np.zeros_like(frame))
    return result


def _smooth(dice: np.random.Generator, count: int, low_hz: float, high_hz: float, rate: float):
    """A random course of deviation 1 within a band of frequencies."""
    spectrum = np.fft.rfft(dice.standard_normal(max(count, 8)))
    hz = np.fft.rfftfreq(max(count, 8), 1 / rate)
    spectrum *= (hz >= low_hz) & (hz <= high_hz)
    course = np.fft.irfft(spectrum, n=max(count, 8))[:count]
    return course / max(course.std(), 1e-9)


def disturbed(scene: Scene, dice: np.random.Generator, rate: float) -> Iterator[Grey]:
    """The scene as a phone would film it."""
    count = len(scene.frames)
    tall, wide = scene.frames[0].shape
    shake = float(dice.choice([0.0, 0.0, 0.12, 0.25, 0.6]))
    path = np.stack([_smooth(dice, count, 0.3, 7.0, rate) * shake for _ in range(2)])
    path += np.stack([_smooth(dice, count, 0.02, 0.3, rate) * shake * 4 for _ in range(2)])
    light = 1 + dice.choice([0, 0, 0.05, 0.12]) * _smooth(dice, count, 0.02, 0.25, rate) / 2
    if dice.random() < 0.25:
        when = np.arange(count) / rate
        light = light + dice.uniform(0.005, 0.02) * np.sin(2 * np.pi * dice.uniform(2, 11) * when)
    for _ in range(int(dice.integers(0, 3))):  # the exposure is set anew
        at, over = dice.integers(count), dice.uniform(0.1, 0.4) * rate
        course = 1 / (1 + np.exp((at - np.arange(count)) / over))
        light = light * (1 + dice.uniform(-0.12, 0.12) * course)
    sway = [_smooth(dice, count, 0.1, 1.5, rate) * dice.uniform(0, 0.35) for _ in range(2)]
    leaves = _smooth(dice, count, 0.2, 3.0, rate) * dice.choice([0, 0, 0.4, 0.8])
    grain = dice.uniform(0.5, 2.2)
    passers = [_Passer(dice, tall, wide, count, rate) for _ in range(_passers(dice))]
    body = np.zeros((tall, wide), np.float32)
    body[int(tall * 0.2) : int(tall * 0.9), int(wide * 0.25) : int(wide * 0.75)] = 1
    for _ in range(3):
        body = shifted(body, 3, 3) / 2 + shifted(body, -3, -3) / 2
    crown = np.linspace(1.0, -1.2, tall, dtype=np.float32)[:, None].clip(0, 1)
    crown = crown * (1 + np.sin(np.arange(wide) / 4.0)).astype(np.float32)
    lifted = [at * rate for what, at in scene.moments if what == "picked up"]
    for k, plain in enumerate(scene.frames):
        frame = plain.astype(np.float32)
        across = np.gradient(frame, axis=1)
        frame = frame + across * (sway[0][k] * body + leaves[k] * crown)
        frame = frame + np.gradient(frame, axis=0) * (0.5 * sway[1][k] * body)
        for passer in passers:
            frame = passer.over(frame, k, plain, scene.empty)
        right, down = path[:, k]
        if lifted and k > lifted[0]:
            since = (k - lifted[0]) / rate
            frame = _hand(frame, since)
            right += 14 * max(since - 0.6, 0) * np.sin(since * 9)
            down += 22 * max(since - 0.6, 0) * np.sin(since * 7 + 1)
        if shake or lifted:
            frame = shifted(frame, float(right), float(down))
        frame = frame * light[k] + grain * dice.standard_normal(frame.shape, dtype=np.float32)
        yield np.clip(frame + 0.5, 0, 255).astype(np.uint8)


def _hand(frame: Float, since: float) -> Float:
    """Someone walks up to the phone and fills the picture from below."""
    tall = frame.shape[0]
    upto = int(tall * (1 - min(since / 1.2, 0.8)))
    frame = frame.copy()
    frame[upto:] = 70 + 20 * np.sin(np.arange(frame.shape[1]) / 7 + since * 3)
    return frame


def _passers(dice: np.random.Generator) -> int:
    return int(dice.integers(1, 4)) if dice.random() < 0.4 else 0


class _Passer:
    """A person who walks through the picture: behind the swinger, one in eight before them."""

    def __init__(
        self, dice: np.random.Generator, tall: int, wide: int, count: int, rate: float
    ) -> None:
        self.before = dice.random() < 0.125
        self.size = tall * (dice.uniform(0.5, 0.9) if self.before else dice.uniform(0.2, 0.5))
        self.foot = tall * (dice.uniform(0.85, 1.0) if self.before else dice.uniform(0.6, 0.75))
        self.way = float(dice.choice([-1, 1]))
        self.speed = self.size * dice.uniform(0.5, 0.95) / rate  # pixels a frame
        self.begin = int(dice.integers(0, max(count - 30, 1)))
        self.tone = float(dice.uniform(20, 230))
        self.step = 2 * np.pi * dice.uniform(0.8, 1.1) / rate
        self.wide = wide

    def over(self, frame: Float, k: int, plain: Grey | Float, empty: Grey) -> Float:
        gone = (k - self.begin) * self.speed
        s = self.size
        if gone < 0 or gone > self.wide + s:
            return frame
        x = gone - s / 2 if self.way > 0 else self.wide + s / 2 - gone
        mask = Image.new("L", (frame.shape[1] * 2, frame.shape[0] * 2), 0)
        pen = ImageDraw.Draw(mask)
        swing = np.sin((k - self.begin) * self.step)
        foot, x, s = self.foot * 2, x * 2, s * 2
        hip, neck = foot - 0.48 * s, foot - 0.82 * s
        for side in (-1, 1):
            pen.line((x, hip, x + side * swing * 0.2 * s, foot), fill=255, width=int(0.08 * s) + 1)
            pen.line((x, neck + 0.05 * s, x - side * swing * 0.16 * s, hip), fill=255,
                     width=int(0.05 * s) + 1)  # fmt: skip
        pen.rounded_rectangle((x - 0.1 * s, neck, x + 0.1 * s, hip), 0.05 * s, fill=255)
        pen.ellipse((x - 0.07 * s, neck - 0.17 * s, x + 0.07 * s, neck), fill=255)
        cover = np.asarray(mask.reduce(2), np.float32) / 255
        if not self.before:
            cover = cover * (np.abs(plain.astype(np.float32) - empty) <= 4)
        return frame * (1 - cover) + self.tone * cover
