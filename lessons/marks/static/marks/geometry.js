/**
 * Plane geometry of marks; lessons/marks/geometry.py says the same on the server.
 * A point is [x, y] in the still's own pixels.
 * @typedef {[number, number]} Point
 */

/** The angle between two arms that meet at a corner, 0 to 180 degrees. */
export function angleDeg(/** @type {Point} */ first, /** @type {Point} */ corner, /** @type {Point} */ second) {
  const [ax, ay] = [first[0] - corner[0], first[1] - corner[1]];
  const [bx, by] = [second[0] - corner[0], second[1] - corner[1]];
  return (Math.atan2(Math.abs(ax * by - ay * bx), ax * bx + ay * by) * 180) / Math.PI;
}

/** The signed turn from the first arm to the second, in (-pi, pi]; y points down. */
export function sweepRad(/** @type {Point} */ first, /** @type {Point} */ corner, /** @type {Point} */ second) {
  const [ax, ay] = [first[0] - corner[0], first[1] - corner[1]];
  const [bx, by] = [second[0] - corner[0], second[1] - corner[1]];
  const cross = ax * by - ay * bx;
  // A half turn goes one way only, whatever the sign of a zero
  return Math.atan2(cross === 0 ? 0 : cross, ax * bx + ay * by);
}

/** @param {Point} a @param {Point} b */
export function distance(a, b) {
  return Math.hypot(b[0] - a[0], b[1] - a[1]);
}

/** Rounded to a whole number, halves upwards. @param {number} value */
export function whole(value) {
  return Math.floor(value + 0.5);
}

/** @param {number} value @param {number} least @param {number} most */
export function between(value, least, most) {
  return Math.min(Math.max(value, least), most);
}

/** The point moved so that it lies level, upright or at 45 degrees to a fixed one. */
export function straighten(/** @type {Point} */ point, /** @type {Point} */ fixed) {
  const step = Math.PI / 4;
  const turn = Math.round(Math.atan2(point[1] - fixed[1], point[0] - fixed[0]) / step) * step;
  const [ux, uy] = [Math.cos(turn), Math.sin(turn)];
  const along = (point[0] - fixed[0]) * ux + (point[1] - fixed[1]) * uy;
  return /** @type {Point} */ ([fixed[0] + along * ux, fixed[1] + along * uy]);
}

/** How far a point lies from a polyline. @param {Point} point @param {Point[]} line */
export function distanceToLine(point, line) {
  let nearest = Infinity;
  for (let i = 0; i < line.length; i += 1) {
    const a = line[Math.max(0, i - 1)];
    nearest = Math.min(nearest, distanceToPiece(point, a, line[i]));
  }
  return nearest;
}

/** @param {Point} point @param {Point} a @param {Point} b */
function distanceToPiece(point, a, b) {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const square = dx * dx + dy * dy;
  const share = square ? ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / square : 0;
  const t = between(share, 0, 1);
  return distance(point, [a[0] + t * dx, a[1] + t * dy]);
}

/** Whether a point lies inside a closed polyline (even-odd). @param {Point} point @param {Point[]} ring */
export function isInside([x, y], ring) {
  let inside = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i, i += 1) {
    const [[ax, ay], [bx, by]] = [ring[i], ring[j]];
    if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside;
  }
  return inside;
}

/**
 * A hand-drawn line with fewer points, nowhere further off than `tolerance` (Douglas, Peucker 1973).
 * @param {Point[]} points @param {number} tolerance @returns {Point[]}
 */
export function simplify(points, tolerance) {
  const keep = new Set([0, points.length - 1]);
  const open = [[0, points.length - 1]];
  while (open.length) {
    const [from, to] = /** @type {number[]} */ (open.pop());
    let [furthest, most] = [-1, tolerance];
    for (let i = from + 1; i < to; i += 1) {
      const off = distanceToPiece(points[i], points[from], points[to]);
      if (off > most) [furthest, most] = [i, off];
    }
    if (furthest > 0) {
      keep.add(furthest);
      open.push([from, furthest], [furthest, to]);
    }
  }
  return points.filter((_, i) => keep.has(i));
}
