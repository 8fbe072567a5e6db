/**
 * Numbers read off marked points, each with its plus-or-minus. lessons/marks/readings.py says the
 * same on the server, with the formulas: a test holds the two together.
 * @typedef {import("./geometry.js").Point} Point
 * @typedef {[number, number]} Reading value and error
 * @typedef {{mm: number, share: number}} Scale
 */
import { angleDeg, distance } from "./geometry.js";

const LEAST_SPANS = 4;
const STEEP_DEG = 75;
const { abs, atan2, cos, hypot, sqrt, PI } = Math;
const degrees = (/** @type {number} */ rad) => (rad * 180) / PI;

/** @param {Point} a @param {Point} b @param {number} side @param {number} u @returns {Reading | null} */
export function level(a, b, side, u) {
  if (!spans(u, distance(a, b))) return null;
  const [[x, y], [x2, y2]] = a[0] <= b[0] ? [a, b] : [b, a];
  const rise = degrees(atan2(y - y2, x2 - x));
  return [abs(rise) === 90 ? 90 : side * rise, lineError(a, b, u)];
}

/** @param {Point} a @param {Point} b @param {number} side @param {number} u @returns {Reading | null} */
export function upright(a, b, side, u) {
  if (!spans(u, distance(a, b))) return null;
  const [low, top] = lowFirst(a, b);
  const lean = degrees(atan2(top[0] - low[0], low[1] - top[1]));
  return [abs(lean) === 90 ? 90 : side * lean, lineError(a, b, u)];
}

/** @param {Point} first @param {Point} middle @param {Point} second @param {number} u @returns {Reading | null} */
export function corner(first, middle, second, u) {
  const [arm, other] = [distance(first, middle), distance(second, middle)];
  if (!spans(u, arm, other)) return null;
  const angle = angleDeg(first, middle, second);
  const turned = 2 / arm ** 2 + 2 / other ** 2 - (2 * cos((angle * PI) / 180)) / (arm * other);
  return [angle, degrees(u * sqrt(Math.max(turned, 0)))];
}

/** @param {Point} a @param {Point} b @param {Point} c @param {Point} d @param {number} u @returns {Reading | null} */
export function betweenLines(a, b, c, d, u) {
  if (!spans(u, distance(a, b), distance(c, d))) return null;
  const angle = angleDeg(b, a, [a[0] + d[0] - c[0], a[1] + d[1] - c[1]]);
  return [Math.min(angle, 180 - angle), hypot(lineError(a, b, u), lineError(c, d, u))];
}

/** @param {Point} a @param {Point} b @param {number} lengthMm @param {number} u @returns {Scale | null} */
export function scale(a, b, lengthMm, u) {
  const span = distance(a, b);
  return spans(u, span) ? { mm: lengthMm / span, share: (sqrt(2) * u) / span } : null;
}

/** @param {Point} a @param {Point} b @param {Scale} by @param {number} u @returns {Reading | null} */
export function lengthCm(a, b, by, u) {
  const span = distance(a, b);
  if (!spans(u, span)) return null;
  const cm = (span * by.mm) / 10;
  return [cm, cm * hypot((sqrt(2) * u) / span, by.share)];
}

/** @param {Point} a @param {Point} b */
export function isSteep(a, b) {
  return degrees(atan2(abs(b[1] - a[1]), abs(b[0] - a[0]))) >= STEEP_DEG;
}

/** @param {Point} p @param {Point} a @param {Point} b @param {number} side @param {number} u @returns {Reading | null} */
export function offDeg(p, a, b, side, u) {
  const [low, top] = lowFirst(a, b);
  const read = corner(top, low, p, u);
  if (!read) return null;
  return [across(p, low, top, side) < 0 ? -read[0] : read[0], read[1]];
}

/** @param {Point} p @param {Point} a @param {Point} b @param {number} side @param {Scale} by @param {number} u @returns {Reading | null} */
export function offCm(p, a, b, side, by, u) {
  const span = distance(a, b);
  if (!spans(u, span)) return null;
  const [low, top] = lowFirst(a, b);
  const px = across(p, low, top, side);
  const dot = (p[0] - low[0]) * (top[0] - low[0]) + (p[1] - low[1]) * (top[1] - low[1]);
  const t = dot / span ** 2;
  const errorPx = u * sqrt(1 + (1 - t) ** 2 + t ** 2);
  return [(px * by.mm) / 10, (hypot(errorPx, px * by.share) * by.mm) / 10];
}

/** @param {Point} a @param {Point} b @returns {[Point, Point]} */
function lowFirst(a, b) {
  return a[1] >= b[1] ? [a, b] : [b, a];
}

/** @param {number} u @param {number[]} lengths */
function spans(u, ...lengths) {
  return lengths.every((length) => length > 0 && length >= LEAST_SPANS * u);
}

/** @param {Point} a @param {Point} b @param {number} u */
function lineError(a, b, u) {
  return degrees((sqrt(2) * u) / distance(a, b));
}

/** Signed distance from the line in pixels. @param {Point} p @param {Point} low @param {Point} top @param {number} side */
function across(p, low, top, side) {
  const [x, y] = [top[0] - low[0], top[1] - low[1]];
  const right = (x * (p[1] - low[1]) - y * (p[0] - low[0])) / hypot(x, y);
  if (isSteep(low, top)) return side * right;
  return x > 0 ? -right : right;
}
