"""Small 3-D vector and curve helpers: x toward the target, y up, z the way a right-hander faces."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Vec: TypeAlias = NDArray[np.float64]

UP: Vec = np.array([0.0, 1.0, 0.0])
TARGET: Vec = np.array([1.0, 0.0, 0.0])


def vec(x: float, y: float, z: float) -> Vec:
    return np.array([x, y, z], dtype=np.float64)


def norm(a: Vec) -> float:
    return float(np.sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2]))


def unit(a: Vec) -> Vec:
    return a / max(norm(a), 1e-12)


def cross(a: Vec, b: Vec) -> Vec:
    return np.array(
        [
            a[1] * b[2] - a[2] * b[1],
            a[2] * b[0] - a[0] * b[2],
            a[0] * b[1] - a[1] * b[0],
        ]
    )


def across(a: Vec, axis: Vec) -> Vec:
    """The part of `a` at right angles to the unit vector `axis`, as a unit vector."""
    return unit(a - float(a @ axis) * axis)


def turned(a: Vec, axis: Vec, degrees: float) -> Vec:
    """`a` turned about the unit vector `axis` (right-hand rule; Rodrigues' formula)."""
    angle = np.radians(degrees)
    c, s = float(np.cos(angle)), float(np.sin(angle))
    return a * c + cross(axis, a) * s + axis * (float(axis @ a) * (1 - c))


def bend(start: Vec, end: Vec, upper: float, lower: float, pole: Vec) -> Vec:
    """The middle joint of a two-bone limb from `start` to `end`, bent toward `pole`.

    A limb asked to reach further than its bones lies straight (its bones stretch alike).
    """
    line = end - start
    reach = norm(line)
    if reach >= upper + lower:
        return start + line * (upper / (upper + lower))
    reach = max(reach, abs(upper - lower) + 1e-6, 1e-6)
    along = (upper**2 - lower**2 + reach**2) / (2 * reach)
    out = float(np.sqrt(max(upper**2 - along**2, 0.0)))
    axis = unit(line)
    return start + axis * along + across(pole, axis) * out


def slopes(times: Vec, values: Vec, smooth: NDArray[np.bool_]) -> Vec:
    """Slopes at the keys of a piecewise cubic through `values` (keys x channels).

    Channels not marked smooth get the shape-preserving slopes of Fritsch and Carlson (SIAM J.
    Numer. Anal. 17, 1980), so that a joint never overshoots its key; smooth channels the slope of
    the parabola through three keys. Both rest at the first and last key.
    """
    step = np.diff(times)[:, None]
    secant = np.diff(values, axis=0) / step
    before, after = step[:-1], step[1:]
    left, right = secant[:-1], secant[1:]
    parabola = (left * after + right * before) / (before + after)
    weight_left, weight_right = 2 * after + before, after + 2 * before
    same_way = left * right > 0
    safe_left = np.where(same_way, left, 1.0)
    safe_right = np.where(same_way, right, 1.0)
    harmonic = (weight_left + weight_right) / (weight_left / safe_left + weight_right / safe_right)
    result = np.zeros_like(values)
    result[1:-1] = np.where(smooth[None, :], parabola, np.where(same_way, harmonic, 0.0))
    return result


def hermite(times: Vec, values: Vec, slope: Vec, when: float) -> Vec:
    """The piecewise cubic with these keys and slopes at one time, held beyond its ends."""
    when = min(max(when, float(times[0])), float(times[-1]))
    k = min(int(np.searchsorted(times, when, side="right")), len(times) - 1) - 1
    width = float(times[k + 1] - times[k])
    u = (when - float(times[k])) / width
    u2, u3 = u * u, u * u * u
    result: Vec = (
        values[k] * (2 * u3 - 3 * u2 + 1)
        + slope[k] * (width * (u3 - 2 * u2 + u))
        + values[k + 1] * (3 * u2 - 2 * u3)
        + slope[k + 1] * (width * (u3 - u2))
    )
    return result
