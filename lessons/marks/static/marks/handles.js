/**
 * The ends of a mark that a hand can drag, and what dragging does.
 * @typedef {import("./geometry.js").Point} Point
 * @typedef {import("./shapes.js").Mark} Mark
 */
import { between, distance, straighten } from "./geometry.js";

/** Where a mark's handles are: its ends, or the four corners round it. @param {Mark} mark @returns {Point[]} */
export function handlesOf(mark) {
  if (mark.kind === "freehand" || mark.kind === "label") return [];
  if (mark.kind !== "box" && mark.kind !== "ellipse") return mark.points;
  const [a, b] = mark.points;
  return [a, [b[0], a[1]], b, [a[0], b[1]]];
}

/**
 * The mark with one handle moved; `straight` keeps a line level, upright or diagonal and a box square.
 * @param {Mark} mark @param {number} index @param {Point} point @param {boolean} straight @returns {Mark}
 */
export function dragged(mark, index, point, straight) {
  if (mark.kind === "box" || mark.kind === "ellipse") {
    const fixed = handlesOf(mark)[(index + 2) % 4];
    const moved = straight ? square(point, fixed) : point;
    return { ...mark, points: [fixed, moved] };
  }
  if (mark.kind === "point") return { ...mark, points: [point] };
  const fixed = mark.kind === "angle" ? mark.points[index === 1 ? 0 : 1] : mark.points[1 - index];
  const moved = straight && fixed ? straighten(point, fixed) : point;
  return { ...mark, points: mark.points.map((old, i) => (i === index ? moved : old)) };
}

/** @param {Point} point @param {Point} fixed @returns {Point} */
export function square(point, fixed) {
  const [dx, dy] = [point[0] - fixed[0], point[1] - fixed[1]];
  const side = Math.max(Math.abs(dx), Math.abs(dy));
  return [fixed[0] + side * (dx < 0 ? -1 : 1), fixed[1] + side * (dy < 0 ? -1 : 1)];
}

/** Which handle is within reach of a point, -1 for none. @param {Mark} mark @param {Point} point @param {number} reach */
export function handleAt(mark, point, reach) {
  let [best, nearest] = [-1, reach];
  handlesOf(mark).forEach((handle, i) => {
    const off = distance(handle, point);
    if (off <= nearest) [best, nearest] = [i, off];
  });
  return best;
}

/**
 * The mark moved as a whole, held on the picture.
 * @param {Mark} mark @param {number} dx @param {number} dy @param {{width: number, height: number}} frame @returns {Mark}
 */
export function moved(mark, dx, dy, frame) {
  const [xs, ys] = [mark.points.map((p) => p[0]), mark.points.map((p) => p[1])];
  const x = held(dx, Math.min(...xs), Math.max(...xs), frame.width);
  const y = held(dy, Math.min(...ys), Math.max(...ys), frame.height);
  return { ...mark, points: mark.points.map(([px, py]) => [px + x, py + y]) };
}

/** @param {number} step @param {number} least @param {number} most @param {number} whole */
function held(step, least, most, whole) {
  return between(step, Math.min(0, -least), Math.max(0, whole - most));
}
