/**
 * Moving, turning and sizing a picture so that two of its points come to lie on two others.
 * @typedef {import("./geometry.js").Point} Point
 */

/**
 * The similarity that takes one pair of points to another. As complex numbers:
 * z' = to0 + (z - from0) (to1 - to0) / (from1 - from0). A pair without length is only moved.
 * @param {[Point, Point]} from @param {[Point, Point]} to @returns {(point: Point) => Point}
 */
export function similarity([a, b], [c, d]) {
  const [x, y] = [b[0] - a[0], b[1] - a[1]];
  const [u, v] = [d[0] - c[0], d[1] - c[1]];
  const square = x * x + y * y;
  const [re, im] = square ? [(u * x + v * y) / square, (v * x - u * y) / square] : [1, 0];
  return ([px, py]) => {
    const [dx, dy] = [px - a[0], py - a[1]];
    return [c[0] + dx * re - dy * im, c[1] + dx * im + dy * re];
  };
}

/** The two points furthest from one another. @param {Point[]} points @returns {[Point, Point]} */
export function furthest(points) {
  let [best, most] = [/** @type {[Point, Point]} */ ([points[0], points[0]]), -1];
  points.forEach((a, i) => {
    for (const b of points.slice(i + 1)) {
      const off = Math.hypot(b[0] - a[0], b[1] - a[1]);
      if (off > most) [best, most] = [[a, b], off];
    }
  });
  return best;
}
