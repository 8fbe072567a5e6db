"""A small depth-buffered drawing board for rounded parts, drawn larger and then reduced.

Parts leave their material, their shade and their depth in a pixel; `picture()` turns these into
toned colour with a dark line where one part stands before another, and reduces the board to the
film's pixels, so that edges are smooth.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from media_tools.mannequin.camera import Camera
from media_tools.mannequin.params import RGB
from media_tools.mannequin.vectors import Vec

F32 = NDArray[np.float32]
LEVELS = 64
SUN = np.array([-0.46, 0.70, 0.55], dtype=np.float32)  # right, up, toward the camera
SUN /= np.sqrt((SUN**2).sum())


def ramp(colour: RGB, shine: float = 0.0) -> NDArray[np.uint8]:
    """A colour from shade to light in LEVELS steps, softly stepped as in a printed picture."""
    base = np.array(colour, dtype=np.float64)
    dark = base * np.array([0.60, 0.60, 0.68]) + np.array([4, 2, 12])
    light = base + (255 - base) * (0.16 + shine)
    level = np.linspace(-1, 1, LEVELS)[:, None]

    def step(low: float, high: float) -> NDArray[np.float64]:
        t = np.clip((level - low) / (high - low), 0, 1)
        return t * t * (3 - 2 * t)

    tone = dark + (base - dark) * step(-0.22, 0.34) + (light - base) * step(0.55, 0.98)
    result: NDArray[np.uint8] = np.clip(tone, 0, 255).astype(np.uint8)
    return result


def ink(colour: RGB) -> NDArray[np.uint8]:
    """The line drawn round a part of that colour."""
    dark = np.array(colour) * np.array([0.34, 0.33, 0.40]) + 8
    result: NDArray[np.uint8] = dark.clip(0, 255).astype(np.uint8)
    return result


class Canvas:
    """A board over a box of the film's pixels, `finer` times as fine.

    box: left, top, right, bottom in whole pixels, the last two not included.
    """

    def __init__(self, camera: Camera, box: tuple[int, int, int, int], finer: int) -> None:
        self.camera, self.box, self.finer = camera, box, finer
        self.shape = ((box[3] - box[1]) * finer, (box[2] - box[0]) * finer)
        self.depth: F32 = np.full(self.shape, np.inf, dtype=np.float32)
        self.shade: NDArray[np.uint8] = np.zeros(self.shape, dtype=np.uint8)
        self.material: NDArray[np.uint8] = np.zeros(self.shape, dtype=np.uint8)
        self.part: NDArray[np.uint8] = np.zeros(self.shape, dtype=np.uint8)

    def at(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Column and row on the board (a whole number is a centre) and depth, of world points."""
        seen = self.camera.pixels(points)
        half = (self.finer - 1) / 2
        seen[..., 0] = (seen[..., 0] - self.box[0]) * self.finer + half
        seen[..., 1] = (seen[..., 1] - self.box[1]) * self.finer + half
        return seen

    def scale(self, depth: float) -> float:
        """Board pixels a metre takes at a depth."""
        return self.camera.focal_px / depth * self.finer

    def _window(
        self, left: float, top: float, right: float, bottom: float
    ) -> tuple[slice, slice] | None:
        x0, y0 = max(int(left) - 1, 0), max(int(top) - 1, 0)
        x1, y1 = min(int(right) + 3, self.shape[1]), min(int(bottom) + 3, self.shape[0])
        return (slice(y0, y1), slice(x0, x1)) if x1 > x0 and y1 > y0 else None

    def _put(
        self,
        window: tuple[slice, slice],
        inside: NDArray[np.bool_],
        depth: F32,
        light: F32,
        material: int | NDArray[np.uint8],
        part: int,
    ) -> None:
        nearer = inside & (depth < self.depth[window])
        shade = ((light + 1) * (LEVELS / 2)).clip(0, LEVELS - 1).astype(np.uint8)
        np.copyto(self.depth[window], depth, where=nearer)
        np.copyto(self.shade[window], shade, where=nearer)
        np.copyto(self.material[window], np.asarray(material, dtype=np.uint8), where=nearer)
        np.copyto(self.part[window], np.uint8(part), where=nearer)

    def limb(
        self, start: Vec, end: Vec, start_r: float, end_r: float, material: int, part: int
    ) -> None:
        """A tapered capsule between two points; radii in metres."""
        (ax, ay, az), (bx, by, bz) = self.at(np.stack([start, end]))
        ra, rb = start_r * self.scale(az), end_r * self.scale(bz)
        ra, rb = max(ra, 0.75), max(rb, 0.75)
        window = self._window(
            min(ax - ra, bx - rb),
            min(ay - ra, by - rb),
            max(ax + ra, bx + rb),
            max(ay + ra, by + rb),
        )
        if window is None:
            return
        x = np.arange(window[1].start, window[1].stop, dtype=np.float32)[None, :] - np.float32(ax)
        y = np.arange(window[0].start, window[0].stop, dtype=np.float32)[:, None] - np.float32(ay)
        flat = max(float(np.hypot(bx - ax, by - ay)), 1e-3)
        ux, uy = np.float32((bx - ax) / flat), np.float32((by - ay) / flat)
        rise = (bz - az) * self.scale((az + bz) / 2)  # away from the viewer, in board pixels
        lean = np.float32(rise / np.hypot(flat, rise))
        along = x * ux + y * uy
        radius = np.float32(ra) + np.clip(along / np.float32(flat), 0, 1) * np.float32(rb - ra)
        # a capsule is the spheres along its axis; this finds the one nearest to the viewer
        off = (y * ux - x * uy) / radius
        high = np.sqrt(np.maximum(1 - off * off, 0))
        t = np.clip((along - radius * high * lean) / np.float32(flat), 0, 1)
        radius = np.float32(ra) + t * np.float32(rb - ra)
        nx = (x - t * np.float32(bx - ax)) / radius
        ny = (y - t * np.float32(by - ay)) / radius
        rest = 1 - nx * nx - ny * ny
        inside = rest > 0
        nz = np.sqrt(np.maximum(rest, 0))
        light = nx * SUN[0] - ny * SUN[1] + nz * SUN[2]
        metres = np.float32(start_r) + t * np.float32(end_r - start_r)
        depth: F32 = np.asarray(np.float32(az) + t * np.float32(bz - az) - nz * metres, np.float32)
        light = np.asarray(light, dtype=np.float32)
        self._put(window, inside, depth, light, material, part)

    def ellipsoid(
        self,
        centre: Vec,
        axes: NDArray[np.float64],
        part: int,
        paint: int | Callable[[F32, F32, F32], NDArray[np.uint8]],
    ) -> None:
        """An ellipsoid; `axes` holds its three half-axes as rows, in metres.

        `paint` may choose the material from a surface point's place along the three axes, each
        from -1 to 1.
        """
        cx, cy, cz = (float(v) for v in self.at(centre))
        scale = self.scale(cz)
        camera = self.camera
        basis = np.stack([camera.right, np.array([0.0, -1.0, 0.0]), camera.ahead])
        local = axes @ basis.T  # rows: half-axes in right, down, ahead
        # the surface is |inv(local.T) p| = 1; solve it along the line of sight
        inverse = np.linalg.inv(local.T)
        reach = np.sqrt((local**2).sum(axis=0))
        window = self._window(
            cx - reach[0] * scale,
            cy - reach[1] * scale,
            cx + reach[0] * scale,
            cy + reach[1] * scale,
        )
        if window is None:
            return
        x = (np.arange(window[1].start, window[1].stop)[None, :] - cx).astype(np.float32) / scale
        y = (np.arange(window[0].start, window[0].stop)[:, None] - cy).astype(np.float32) / scale
        inv = inverse.astype(np.float32)
        flat = [inv[k, 0] * x + inv[k, 1] * y for k in range(3)]
        a = float((inv[:, 2] ** 2).sum())
        b = sum(flat[k] * inv[k, 2] for k in range(3))
        c = sum(flat[k] * flat[k] for k in range(3)) - 1
        rest = np.asarray(b * b - a * c, dtype=np.float32)
        inside = rest > 0
        z = (-b - np.sqrt(np.maximum(rest, 0))) / np.float32(a)
        u, v, w = (flat[k] + inv[k, 2] * z for k in range(3))
        # the normal is the gradient of the quadric
        n = [u * inv[0, k] + v * inv[1, k] + w * inv[2, k] for k in range(3)]
        length = np.sqrt(n[0] ** 2 + n[1] ** 2 + n[2] ** 2)
        light = (n[0] * SUN[0] - n[1] * SUN[1] - n[2] * SUN[2]) / length
        if isinstance(paint, int):
            material: int | NDArray[np.uint8] = paint
        else:
            material = paint(u, v, w)
            inside &= material > 0
        self._put(window, inside, np.asarray(z + np.float32(cz), np.float32), light, material, part)

    def rings(self, rings: NDArray[np.float64], materials: Sequence[int], part: int) -> None:
        """A skin over rings of points, shape (rings, around, 3); one material a band."""
        seen = self.at(rings)
        low = seen[..., :2].min(axis=(0, 1))
        high = seen[..., :2].max(axis=(0, 1))
        window = self._window(low[0], low[1], high[0], high[1])
        if window is None:
            return
        left, top = window[1].start, window[0].start
        size = (window[1].stop - left, window[0].stop - top)
        metres = np.stack(
            [rings @ self.camera.right, -rings[..., 1], rings @ self.camera.ahead], axis=-1
        )
        along = np.roll(metres, -1, axis=1)[:-1] - metres[:-1] + np.roll(metres, -1, axis=1)[1:]
        along -= metres[1:]
        down = metres[1:] - metres[:-1] + np.roll(metres, -1, axis=1)[1:]
        down -= np.roll(metres, -1, axis=1)[:-1]
        normal = np.cross(along, down)
        for _ in range(2):  # smooth over neighbouring faces
            normal = normal * 2 + np.roll(normal, 1, axis=1) + np.roll(normal, -1, axis=1)
            normal[1:-1] = normal[1:-1] * 2 + normal[:-2] + normal[2:]
            normal /= np.maximum(np.sqrt((normal**2).sum(axis=-1, keepdims=True)), 1e-12)
        middle = metres.mean(axis=(0, 1))
        if ((metres[:-1] - middle) * normal).sum() < 0:
            normal = -normal
        faces = normal[..., 0] * SUN[0] - normal[..., 1] * SUN[1] - normal[..., 2] * SUN[2]
        around = np.roll(seen, -1, axis=1)
        quads = np.stack([seen[:-1], around[:-1], around[1:], seen[1:]], axis=2)
        depth = quads[..., 2].mean(axis=-1)
        facing = normal[..., 2] < 0.12
        order = np.argsort(-depth, axis=None)
        depth_board = Image.new("F", size, 1e9)
        shade_board = Image.new("L", size, 0)
        band_board = Image.new("L", size, 0)
        pens = [ImageDraw.Draw(b) for b in (depth_board, shade_board, band_board)]
        corners = quads[..., :2] - np.array([left, top])
        bands, columns = np.unravel_index(order, depth.shape)
        for band, column in zip(bands.tolist(), columns.tolist(), strict=True):
            if facing[band, column]:
                shape = corners[band, column].ravel().tolist()
                pens[0].polygon(shape, fill=float(depth[band, column]))
                pens[1].polygon(shape, fill=int(127.5 + 127 * faces[band, column]))
                pens[2].polygon(shape, fill=materials[band])
        got: F32 = np.asarray(depth_board, dtype=np.float32)
        inside = got < 1e8
        # soften the faces' steps, counting only what is inside
        reach = max(round(0.4 * float(np.hypot(*(high - low))) / (len(rings) + 8)), 1)
        cover = np.maximum(_boxed(inside.astype(np.float32), reach), 1e-3)
        got = np.divide(
            _boxed(np.where(inside, got, np.float32(0)), reach), cover, dtype=np.float32
        )
        shade = _boxed(np.asarray(shade_board, dtype=np.float32), reach) / cover
        light = np.asarray(shade / 127.5 - 1, dtype=np.float32)
        self._put(window, inside, got, light, np.asarray(band_board), part)

    def plate(self, points: NDArray[np.float64], material: int, part: int, light: float) -> None:
        """A flat convex plate with corners (n, 3), the same shade all over."""
        seen = self.at(points)
        low, high = seen[:, :2].min(axis=0), seen[:, :2].max(axis=0)
        window = self._window(low[0], low[1], high[0], high[1])
        if window is None:
            return
        left, top = window[1].start, window[0].start
        board = Image.new("L", (window[1].stop - left, window[0].stop - top), 0)
        ImageDraw.Draw(board).polygon((seen[:, :2] - [left, top]).ravel().tolist(), fill=255)
        inside = np.asarray(board) > 0
        # the plane's depth over the board, by least squares through the corners
        rows = np.column_stack([seen[:, 0], seen[:, 1], np.ones(len(seen))])
        fit, *_ = np.linalg.lstsq(rows, seen[:, 2], rcond=None)
        x = np.arange(window[1].start, window[1].stop, dtype=np.float32)[None, :]
        y = np.arange(window[0].start, window[0].stop, dtype=np.float32)[:, None]
        depth = (fit[0] * x + fit[1] * y + fit[2]).astype(np.float32)
        depth = np.clip(depth, seen[:, 2].min(), seen[:, 2].max())
        self._put(window, inside, depth, np.full(depth.shape, light, np.float32), material, part)

    def _lines(self, width: int) -> NDArray[np.intp]:
        """Flat places where a part's edge stands before something else, `width` board pixels wide.

        Places are compared along the flattened board; a comparison that wraps round the board's
        side meets only empty margin.
        """
        part, depth, material = self.part.ravel(), self.depth.ravel(), self.material.ravel()
        slant, row = max(round(width * 0.7), 1), self.shape[1]
        found = []
        for off in (width, width * row, slant * row + slant, slant * row - slant):
            first = np.flatnonzero(part[off:] != part[:-off])
            second = first + off
            kin = material[first] == material[second]
            step = depth[second] - depth[first]
            least = np.where(kin, np.float32(0.03), np.float32(0.0))
            found += [first[step > least], second[step < -least]]
        places = np.concatenate(found)
        return places[part[places] > 0]

    def picture(
        self, ramps: NDArray[np.uint8], inks: NDArray[np.uint8], line_px: float
    ) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
        """Colour already weighted by coverage (rows, columns, 3), and coverage (rows, columns).

        ramps: tones by material and level, (materials, LEVELS, 3); inks: line colours by material.
        Material 0 is nothing.
        """
        tone_of = _packed(ramps.reshape(-1, 3))
        tone_of[:LEVELS] = 0
        index = self.material.astype(np.uint16) * np.uint16(LEVELS) + self.shade
        packed = tone_of.take(index)
        line = self._lines(max(round(line_px * self.finer), 1))
        packed.ravel()[line] = _packed(inks).take(self.material.ravel()[line])
        rgba = packed.view(np.uint8).reshape(*self.shape, 4)
        small = np.asarray(Image.fromarray(rgba, "RGBa").reduce(self.finer))
        return small[..., :3], small[..., 3]


def _boxed(values: F32, reach: int) -> F32:
    """Means over squares of 2 reach + 1 places, beyond the edge counted as 0."""
    wide = 2 * reach + 1
    for axis in (0, 1):
        pad = [(0, 0), (0, 0)]
        pad[axis] = (reach + 1, reach)
        total = np.cumsum(np.pad(values, pad), axis=axis, dtype=np.float64)
        ahead = total[wide:] if axis == 0 else total[:, wide:]
        behind = total[:-wide] if axis == 0 else total[:, :-wide]
        values = ((ahead - behind) / wide).astype(np.float32)
    return values


def _packed(colours: NDArray[np.uint8]) -> NDArray[np.uint32]:
    """RGB rows as opaque RGBA, four bytes in one number."""
    opaque = np.column_stack([colours, np.full(len(colours), 255, np.uint8)])
    return np.ascontiguousarray(opaque).view(np.uint32).ravel()
