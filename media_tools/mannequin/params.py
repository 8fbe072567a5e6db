"""What a mannequin's film is made from: who swings, how, and how it is filmed.

Plain frozen values; nothing here draws or computes. Lengths are metres, times seconds, angles
degrees unless a name says otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Literal

Handed = Literal["right", "left"]
View = Literal["face-on", "down-the-line"]
Club = Literal["iron", "wedge", "driver"]
Hair = Literal["short", "tail", "none"]
RGB = tuple[int, int, int]
Ten = tuple[float, float, float, float, float, float, float, float, float, float]

POSITIONS = ("P1", "P2", "P3", "P4", "P5", "P6", "P7", "P8", "P9", "P10")

# How a settled head travels: toward the target and up, from where it was at address.
STEADY_SWAY: Ten = (0.0, -0.005, -0.015, -0.02, -0.015, -0.02, -0.03, -0.03, 0.02, 0.2)
STEADY_LIFT: Ten = (0.0, 0.0, -0.005, -0.005, -0.015, -0.025, -0.025, -0.015, 0.035, 0.16)


@dataclass(frozen=True, slots=True)
class Colours:
    """What the swinger wears and looks like, as 8-bit RGB."""

    shirt: RGB = (47, 111, 138)
    trousers: RGB = (68, 72, 84)
    shoes: RGB = (245, 242, 234)
    cap: RGB = (247, 243, 233)
    belt: RGB = (58, 46, 40)
    glove: RGB = (250, 248, 242)
    skin: RGB = (226, 172, 138)
    hair: RGB = (88, 62, 46)


@dataclass(frozen=True, slots=True)
class Swinger:
    """A figure: its build, its colours and the hand it plays with.

    `girth` scales the widths of limbs and trunk, `breadth` the shoulders; 1.0 is an adult of
    average build. Use `swinger()` for the ready-made builds.
    """

    height_m: float = 1.78
    girth: float = 1.0
    breadth: float = 1.0
    head: float = 1.0
    handed: Handed = "right"
    hair: Hair = "short"
    beard: bool = False
    shorts: bool = False
    colours: Colours = field(default_factory=Colours)

    def __post_init__(self) -> None:
        if not 1.0 <= self.height_m <= 2.3:
            raise ValueError(f"a figure is 1.0 to 2.3 m tall, not {self.height_m}")
        if self.handed not in ("right", "left"):
            raise ValueError(f"a figure plays right- or left-handed, not {self.handed!r}")


BUILDS: dict[str, Swinger] = {
    "adult": Swinger(),
    "slight": Swinger(height_m=1.68, girth=0.88, breadth=0.9, hair="tail"),
    "heavy": Swinger(height_m=1.77, girth=1.17, breadth=1.04),
    "senior": Swinger(height_m=1.74, girth=1.1, breadth=0.99, beard=True),
    "junior": Swinger(height_m=1.56, girth=0.86, breadth=0.86, head=1.06, hair="tail"),
}


def swinger(build: str = "adult", *, handed: Handed = "right", **colours: RGB) -> Swinger:
    """A figure of a ready-made build, with any of its `Colours` replaced by keyword."""
    if build not in BUILDS:
        raise ValueError(f"no build {build!r}; there are {', '.join(BUILDS)}")
    base = BUILDS[build]
    return replace(base, handed=handed, colours=replace(base.colours, **colours))


@dataclass(frozen=True, slots=True)
class SwingSpec:
    """One swing.

    backswing_s, downswing_s: P1 to P4 and P4 to P7; their ratio is the tempo.
    sway_m, lift_m: where the head's centre is at P1..P10, toward the target and up, from its
        place at address.
    release: 0 keeps the wrists hinged to P6; 1 throws the club from the top.
    plane_deg: how much steeper (positive) or flatter the club comes down.
    strike: False for a practice swing without a ball.
    """

    backswing_s: float = 0.84
    downswing_s: float = 0.26
    sway_m: Ten = STEADY_SWAY
    lift_m: Ten = STEADY_LIFT
    release: float = 0.0
    plane_deg: float = 0.0
    strike: bool = True
    club: Club = "iron"

    def __post_init__(self) -> None:
        if not 0.2 <= self.backswing_s <= 4.0 or not 0.1 <= self.downswing_s <= 2.0:
            raise ValueError("a backswing takes 0.2 to 4 s and a downswing 0.1 to 2 s")
        if len(self.sway_m) != len(POSITIONS) or len(self.lift_m) != len(POSITIONS):
            raise ValueError("sway and lift each need ten values, one a position")
        if not 0.0 <= self.release <= 1.0:
            raise ValueError(f"release runs from 0 to 1, not {self.release}")
        if not -20.0 <= self.plane_deg <= 20.0:
            raise ValueError(f"plane_deg runs from -20 to 20, not {self.plane_deg}")


def swaying(off_the_ball_m: float, *, rise_m: float = 0.0) -> tuple[Ten, Ten]:
    """Sway and lift of a head that slides away from the target to the top and rises."""
    share = (0.0, 0.35, 0.75, 1.0, 0.7, 0.45, 0.25, 0.15, 0.0, 0.0)
    rise = (0.0, 0.3, 0.7, 1.0, 0.9, 0.9, 1.0, 0.9, 0.3, 0.0)
    sway = [s - off_the_ball_m * k for s, k in zip(STEADY_SWAY, share, strict=True)]
    lift = [s + rise_m * k for s, k in zip(STEADY_LIFT, rise, strict=True)]
    return _ten(sway), _ten(lift)


def _ten(values: list[float]) -> Ten:
    a, b, c, d, e, f, g, h, i, j = values
    return (a, b, c, d, e, f, g, h, i, j)


@dataclass(frozen=True, slots=True)
class TimedSwing:
    """A swing in a film and when its P1 is, from the film's first frame."""

    start_s: float
    swing: SwingSpec = field(default_factory=SwingSpec)


@dataclass(frozen=True, slots=True)
class Film:
    """One recording: the camera's place and the swings that happen before it.

    peak_to_rms_db: the strike's peak over the bay's noise.
    mic_distance_m: the sound arrives later by this over 343 m/s; 0 puts it on the strike.
    frame_code: draws each frame's number as a pattern that `read_frame_code` reads.
    crf, preset: passed to x264.
    """

    swinger: Swinger = field(default_factory=Swinger)
    swings: tuple[TimedSwing, ...] = (TimedSwing(0.6),)
    view: View = "face-on"
    size_px: tuple[int, int] = (1280, 720)
    fps: Fraction | int = 60
    duration_s: float | None = None
    peak_to_rms_db: float = 28.0
    neighbours: bool = True
    mic_distance_m: float = 0.0
    frame_code: bool = False
    blur: bool = True
    zoom: float = 1.0
    seed: int = 1
    crf: int = 20
    preset: str = "veryfast"

    def __post_init__(self) -> None:
        width, height = self.size_px
        if width % 2 or height % 2 or not 64 <= min(width, height) <= max(width, height) <= 4096:
            raise ValueError("a film's sides are even numbers of pixels from 64 to 4096")
        if not 24000 / 1001 - 1e-9 <= self.fps <= 240:
            raise ValueError(f"a film has 24 to 240 frames a second, not {self.fps}")
        if self.view not in ("face-on", "down-the-line"):
            raise ValueError(f"a view is face-on or down-the-line, not {self.view!r}")
        if not self.swings:
            raise ValueError("a film needs at least one swing")
        if self.swings[0].start_s < 0:
            raise ValueError("a swing can't start before the film")
