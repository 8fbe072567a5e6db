/**
 * Outlines made of lines and curves; lessons/marks/paths.py says the same on the server.
 * @typedef {import("./geometry.js").Point} Point
 * @typedef {[string, ...number[]]} Step  M x y | L x y | Q cx cy x y | C ax ay bx by x y | Z
 * @typedef {Step[]} Path
 */

const QUARTER = 0.5522847498307936; // of the radius: a cubic's handles for a quarter of a circle
const CURVE_PIECES = 24;

/** The path in SVG's own notation, to a hundredth of a pixel. @param {Path} path */
export function svgData(path) {
  return path.map(([name, ...values]) => name + values.map((value) => value.toFixed(2)).join(" ")).join("");
}

/** @param {Point[]} points @returns {Path} */
export function polyline(points, closed = false) {
  /** @type {Path} */
  const steps = points.map(([x, y], i) => [i ? "L" : "M", x, y]);
  return closed ? [...steps, ["Z"]] : steps;
}

/** @param {Point} a @param {Point} b */
export function rectangle(a, b) {
  return polyline([a, [b[0], a[1]], b, [a[0], b[1]]], true);
}

/** The ellipse that touches the sides of the rectangle from a to b. @param {Point} a @param {Point} b @returns {Path} */
export function ellipse(a, b) {
  const [cx, cy] = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const [rx, ry] = [Math.abs(b[0] - a[0]) / 2, Math.abs(b[1] - a[1]) / 2];
  const [kx, ky] = [rx * QUARTER, ry * QUARTER];
  return [
    ["M", cx + rx, cy],
    ["C", cx + rx, cy + ky, cx + kx, cy + ry, cx, cy + ry],
    ["C", cx - kx, cy + ry, cx - rx, cy + ky, cx - rx, cy],
    ["C", cx - rx, cy - ky, cx - kx, cy - ry, cx, cy - ry],
    ["C", cx + kx, cy - ry, cx + rx, cy - ky, cx + rx, cy],
    ["Z"],
  ];
}

/** A rectangle with round corners. @returns {Path} */
export function rounded(/** @type {number} */ x, /** @type {number} */ y, /** @type {number} */ width, /** @type {number} */ height, /** @type {number} */ corner) {
  const r = Math.min(corner, width / 2, height / 2);
  const k = r - r * QUARTER;
  const [right, bottom] = [x + width, y + height];
  return [
    ["M", x + r, y],
    ["L", right - r, y],
    ["C", right - k, y, right, y + k, right, y + r],
    ["L", right, bottom - r],
    ["C", right, bottom - k, right - k, bottom, right - r, bottom],
    ["L", x + r, bottom],
    ["C", x + k, bottom, x, bottom - k, x, bottom - r],
    ["L", x, y + r],
    ["C", x, y + k, x + k, y, x + r, y],
    ["Z"],
  ];
}

/** Part of a circle, as one cubic for each quarter turn or less. @returns {Path} */
export function arc(/** @type {Point} */ centre, /** @type {number} */ radius, /** @type {number} */ startRad, /** @type {number} */ sweepRad) {
  const pieces = Math.max(1, Math.ceil(Math.abs(sweepRad) / (Math.PI / 2) - 1e-9));
  const turn = sweepRad / pieces;
  const handle = (4 / 3) * Math.tan(turn / 4) * radius;
  const at = (/** @type {number} */ angle) => [centre[0] + radius * Math.cos(angle), centre[1] + radius * Math.sin(angle)];
  const [mx, my] = at(startRad);
  /** @type {Path} */
  const steps = [["M", mx, my]];
  for (let piece = 1; piece <= pieces; piece += 1) {
    const angle = startRad + piece * turn;
    const last = angle - turn;
    const [[bx, by], [x, y]] = [at(last), at(angle)];
    steps.push([
      "C",
      bx - handle * Math.sin(last),
      by + handle * Math.cos(last),
      x + handle * Math.sin(angle),
      y - handle * Math.cos(angle),
      x,
      y,
    ]);
  }
  return steps;
}

/** A hand-drawn line: from middle to middle of the strokes. @param {Point[]} points @returns {Path} */
export function smooth(points) {
  if (points.length < 3) return polyline(points);
  /** @type {Path} */
  const steps = [["M", ...points[0]]];
  for (let i = 1; i < points.length - 2; i += 1) {
    const [here, after] = [points[i], points[i + 1]];
    steps.push(["Q", ...here, (here[0] + after[0]) / 2, (here[1] + after[1]) / 2]);
  }
  steps.push(["Q", ...points[points.length - 2], ...points[points.length - 1]]);
  return steps;
}

/**
 * The path as polylines, to find which mark a finger touches.
 * @param {Path} path @returns {Point[][]} a closed part ends where it began
 */
export function flatten(path) {
  /** @type {Point[][]} */
  const parts = [];
  for (const [name, ...numbers] of path) {
    const part = parts[parts.length - 1];
    if (name === "M") parts.push([[numbers[0], numbers[1]]]);
    else if (name === "Z") part.push(part[0]);
    else {
      /** @type {Point[]} */
      const controls = [part[part.length - 1]];
      for (let i = 0; i < numbers.length; i += 2) controls.push([numbers[i], numbers[i + 1]]);
      const pieces = name === "L" ? 1 : CURVE_PIECES;
      for (let piece = 1; piece <= pieces; piece += 1) part.push(bezier(controls, piece / pieces));
    }
  }
  return parts;
}

/** The point at t of a Bezier curve of any order (de Casteljau). @param {Point[]} controls @param {number} t @returns {Point} */
function bezier(controls, t) {
  let points = controls;
  while (points.length > 1) {
    points = points.slice(1).map((b, i) => [points[i][0] + (b[0] - points[i][0]) * t, points[i][1] + (b[1] - points[i][1]) * t]);
  }
  return points[0];
}
