"""One table for both languages: swings, how they are lined up, and what is then shown when.

Each expected value is worked out by hand in the comment beside it.
"""

from __future__ import annotations

from dataclasses import dataclass

from media_tools.beside import Picture, Placed

# A quick swing and a slow one; only what both have can fall together
QUICK = Placed(2_000_000, {"P1": 1_000_000, "P4": 1_750_000, "P7": 2_000_000, "P10": 2_600_000})
SLOW = Placed(
    9_000_000,
    {"P1": 7_000_000, "P2": 7_500_000, "P4": 8_400_000, "P7": 9_000_000, "P10": 9_900_000},
)
# 240 frames a second stored as 30: eight microseconds of the clip for one of life
STRETCHED = Placed(16_000_000, {"P4": 14_000_000, "P7": 16_000_000}, slowdown=8.0)
SHIFTED = Placed(8_700_000, SLOW.positions)
BARE = Placed(500_000, {})
TANGLED = Placed(5_000_000, {"P1": 4_000_000, "P4": 3_000_000, "P7": 5_000_000, "P10": 6_000_000})


@dataclass(frozen=True)
class Times:
    """Swings at a moment of the clock, and the time that each clip then shows."""

    name: str
    swings: tuple[Placed, ...]
    by_position: bool
    clock_us: int
    shown_us: tuple[int, ...]
    at: str = "P7"


TIMES = [
    Times("lined up", (QUICK, SLOW), False, 0, (2_000_000, 9_000_000)),
    Times("real time", (QUICK, SLOW), False, -250_000, (1_750_000, 8_750_000)),
    Times("real time, stretched", (QUICK, STRETCHED), False, -250_000, (1_750_000, 14_000_000)),
    Times("at the top of both", (QUICK, SLOW), True, -250_000, (1_750_000, 8_400_000)),
    # Half way from top to impact: 8,400,000 + 600,000 / 2
    Times("between positions", (QUICK, SLOW), True, -125_000, (1_875_000, 8_700_000)),
    # A third of the way from impact to the finish: 9,000,000 + 900,000 / 3
    Times("after impact", (QUICK, SLOW), True, 200_000, (2_200_000, 9_300_000)),
    Times(
        "before address real time goes on", (QUICK, SLOW), True, -1_100_000, (900_000, 6_900_000)
    ),
    Times("after the finish too", (QUICK, SLOW), True, 700_000, (2_700_000, 10_000_000)),
    Times("the slow one leads", (SLOW, QUICK), True, -600_000, (8_400_000, 1_750_000)),
    Times("a stretched clip leads", (STRETCHED, QUICK), True, -125_000, (15_000_000, 1_875_000)),
    Times("lined up at the top", (QUICK, SLOW), True, 250_000, (2_000_000, 9_000_000), at="P4"),
    # By hand 300,000 us before impact: what lay at or after it, and before, still does
    Times("moved by hand", (QUICK, SHIFTED), True, 0, (2_000_000, 8_700_000)),
    Times("moved by hand, on the way", (QUICK, SHIFTED), True, -125_000, (1_875_000, 8_550_000)),
    Times("nothing in common", (QUICK, BARE), True, 100_000, (2_100_000, 600_000)),
    # P4 before P1 can't be: P1 to P7 is 1,000,000 in both, so half way is half way
    Times("positions out of order", (QUICK, TANGLED), True, -500_000, (1_500_000, 4_500_000)),
    Times("three", (QUICK, SLOW, STRETCHED), True, -250_000, (1_750_000, 8_400_000, 14_000_000)),
    Times("no swing", (), True, 0, ()),
]


@dataclass(frozen=True)
class Laid:
    """Pictures, and where their corners (0, 0) and (width, height) come to lie in the cell."""

    name: str
    pictures: tuple[Picture, ...]
    corners: tuple[tuple[float, float, float, float], ...]
    zoom: float = 1.0


HEAD_TO_BALL = ((0.5, 0.25), (0.5, 0.75))
LOW_AND_SMALL = ((0.25, 0.5), (0.25, 0.75))

LAID = [
    Laid("the same size", (Picture(720, 1280),) * 2, ((0, 0, 720, 1280),) * 2),
    Laid(
        "a larger one fits",
        (Picture(720, 1280), Picture(1080, 1920)),
        ((0, 0, 720, 1280), (0, 0, 720, 1280)),
    ),
    # Wide in an upright cell: 720 / 1280 of its size, in the middle of the height
    Laid(
        "a wide one in an upright cell",
        (Picture(720, 1280), Picture(1280, 720)),
        ((0, 0, 720, 1280), (0, 437.5, 720, 842.5)),
    ),
    # Its points are half as far apart, so it is twice as large; (0.25, 0.625) comes to the middle
    Laid(
        "matched by two points",
        (Picture(800, 800, points=HEAD_TO_BALL), Picture(800, 800, points=LOW_AND_SMALL)),
        ((0, 0, 800, 800), (0, -600, 1600, 1000)),
    ),
    # Mirrored, what was a quarter from the left is a quarter from the right
    Laid(
        "matched and mirrored",
        (Picture(800, 800, points=HEAD_TO_BALL), Picture(800, 800, True, LOW_AND_SMALL)),
        ((0, 0, 800, 800), (-800, -600, 800, 1000)),
    ),
    Laid(
        "closer about the middle",
        (Picture(800, 400),) * 2,
        ((-400, -200, 1200, 600),) * 2,
        zoom=2,
    ),
    # The points' middle (200, 500) is half as far from the cell's middle when twice as close
    Laid(
        "closer about what is matched",
        (Picture(800, 800, points=LOW_AND_SMALL),) * 2,
        ((-100, -550, 1500, 1050),) * 2,
        zoom=2,
    ),
    Laid(
        "points on one alone match nothing",
        (Picture(800, 800, points=LOW_AND_SMALL), Picture(400, 400)),
        ((0, 0, 800, 800), (0, 0, 800, 800)),
    ),
]
