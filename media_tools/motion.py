"""What moves in a clip's small motion picture, frame by frame, in a grid of cells.

The camera's own movement and changes of light are taken out of each pair of frames first; what
is left over is how strongly each part of the picture moved. Knows nothing of golf.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path

import av
import numpy as np
import numpy.typing as npt

from media_tools.reading import opened
from media_tools.times import Times, ticks_to_us

CELL_PX = 10
_BATCH = 64  # frames in memory at once
_ROUNDS = 4  # of fitting the camera's movement, each time trusting moving cells less

Grey = npt.NDArray[np.uint8]
Grid = npt.NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Motion:
    """How a clip's picture moved. Frame k is compared with frame k - 1; frame 0 did not move.

    times_us: int64 (frames,), when each frame is shown, on the motion picture's own clock.
    energy: float16 (frames, rows, columns), root mean square change of grey level, 0 to 255, in
        each cell of about 10 pixels' side, after taking out the camera's movement and the light.
    shift_px: float32 (frames, 2), how far the whole picture went right and down.
    """

    times_us: Times = field(repr=False)
    energy: npt.NDArray[np.float16] = field(repr=False)
    shift_px: Grid = field(repr=False)

    @property
    def frame_us(self) -> float:
        """The usual time from frame to frame, in microseconds; 0 for a single frame."""
        return float(np.median(np.diff(self.times_us))) if len(self.times_us) > 1 else 0.0


def read(path: Path | str) -> Motion:
    """The motion of a motion picture, an MP4 that `media_tools.prepare.first` made.

    Streams: memory grows by about 300 bytes a frame. Raises Unreadable, TimedOut.
    """
    times: list[int] = []

    def frames() -> Iterator[Grey]:
        with opened(Path(path), "mov") as container:
            stream = container.streams.video[0]
            stream.thread_type = "AUTO"
            for frame in container.decode(stream):
                if frame.pts is None or frame.time_base is None:
                    continue
                times.append(ticks_to_us(frame.pts, frame.time_base))
                yield luma(frame)

    energy, shift = measure(frames())
    return Motion(np.array(times, dtype=np.int64), energy, shift)


def luma(frame: av.VideoFrame) -> Grey:
    """The grey levels of a decoded frame, (rows, columns)."""
    plane = frame.planes[0]
    rows = np.frombuffer(bytes(plane), np.uint8).reshape(-1, plane.line_size)
    result: Grey = rows[: frame.height, : frame.width]
    return result


def measure(frames: Iterable[Grey]) -> tuple[npt.NDArray[np.float16], Grid]:
    """Energy and shift, as in `Motion`, of grey frames of one size (rows, columns) in order."""
    source = iter(frames)
    last = next(source, None)
    if last is None:
        return np.zeros((0, 1, 1), np.float16), np.zeros((0, 2), np.float32)
    first = np.zeros((1, *_cells(last[None].astype(np.float32)).shape[1:]), np.float16)
    energies, shifts = [first], [np.zeros((1, 2), np.float32)]
    while batch := list(islice(source, _BATCH)):
        stack = np.stack([last, *batch]).astype(np.float32)
        energy, shift = _compare(stack[:-1], stack[1:])
        energies.append(energy.astype(np.float16))
        shifts.append(shift)
        last = batch[-1]
    return np.concatenate(energies), np.concatenate(shifts)


def _cells(values: Grid) -> Grid:
    """Mean over each cell: (frames, rows, columns) to (frames, cell rows, cell columns).

    Cells are as large as fits evenly; less than a cell's width at the edges is left out.
    """
    count, tall, wide = values.shape
    rows, columns = max(1, tall // CELL_PX), max(1, wide // CELL_PX)
    high, broad = tall // rows, wide // columns
    values = values[:, : rows * high, : columns * broad]
    result: Grid = values.reshape(count, rows, high, columns, broad).mean(axis=(2, 4))
    return result


def _compare(before: Grid, after: Grid) -> tuple[Grid, Grid]:
    """Energy (n, rows, columns) and shift (n, 2) from each frame to the next.

    To first order a picture that moves by (u, v) changes by -(u Gx + v Gy), the gradient taken
    halfway between the two frames. The sums over cells are enough to fit (u, v) by least squares
    and to tell what is left in each cell, so cells that move by themselves can be trusted less.
    """
    before, after = _evenly_lit(_softened(before), _softened(after))
    change = after - before
    middle = (before + after) * 0.5
    across, down = np.zeros_like(middle), np.zeros_like(middle)
    across[:, :, 1:-1] = (middle[:, :, 2:] - middle[:, :, :-2]) * 0.5
    down[:, 1:-1] = (middle[:, 2:] - middle[:, :-2]) * 0.5
    xx, xy, yy = _cells(across * across), _cells(across * down), _cells(down * down)
    xt, yt, tt = _cells(across * change), _cells(down * change), _cells(change * change)
    u, v = np.zeros((len(change), 1, 1), np.float32), np.zeros((len(change), 1, 1), np.float32)
    left: Grid = tt
    for _ in range(_ROUNDS):
        usual = np.median(left, axis=(1, 2), keepdims=True) + 1e-3
        trust: Grid = (1.0 / (1.0 + (left / (2 * usual)) ** 2)).astype(np.float32)

        def total(values: Grid, trust: Grid = trust) -> Grid:
            result: Grid = (values * trust).sum(axis=(1, 2), keepdims=True)
            return result

        a, b, c = total(xx) + 1e-2, total(xy), total(yy) + 1e-2
        p, q = total(xt), total(yt)
        det = a * c - b * b
        u, v = (b * q - c * p) / det, (b * p - a * q) / det
        left = tt + 2 * (u * xt + v * yt) + u * u * xx + 2 * u * v * xy + v * v * yy
    shift = np.concatenate([u[:, :, 0], v[:, :, 0]], axis=1)
    return np.sqrt(np.maximum(left, 0)), shift


def _softened(frames: Grid) -> Grid:
    """Less grain, and edges wide enough for the gradient to tell a shift."""
    wide = frames.copy()
    wide[:, :, 1:-1] = (frames[:, :, :-2] + frames[:, :, 2:]) * 0.25 + frames[:, :, 1:-1] * 0.5
    soft = wide.copy()
    soft[:, 1:-1] = (wide[:, :-2] + wide[:, 2:]) * 0.25 + wide[:, 1:-1] * 0.5
    return soft


def _evenly_lit(before: Grid, after: Grid) -> tuple[Grid, Grid]:
    """Both frames under the same light: the usual ratio of their cells is made 1."""
    ratio = np.median((_cells(after) + 1) / (_cells(before) + 1), axis=(1, 2), keepdims=True)
    root = np.sqrt(ratio).astype(np.float32)
    return before * root, after / root
