/**
 * What a mark looks like: layers of outlines, and a text. lessons/marks/shapes.py is its twin:
 * a test holds the two together. The measures come from lessons/marks/drawing.json.
 * @typedef {import("./geometry.js").Point} Point
 * @typedef {import("./frame.js").Frame} Frame
 * @typedef {import("./paths.js").Path} Path
 * @typedef {{id: string, kind: string, points: Point[], colour: string, text: string, shows?: string, against?: string, length_mm?: number}} Mark
 * @typedef {{path: Path, fill: string, stroke: string, width: number}} Layer
 * @typedef {{words: string, x: number, y: number, size: number, width: number, colour: string}} Text
 * @typedef {{x: number, y: number, width: number, height: number}} Plate the rectangle under a text
 * @typedef {{layers: Layer[], text: Text | null, plate?: Plate}} Shape
 */
import { distance, sweepRad } from "./geometry.js";
import { degreesOf } from "./names.js";
import { arc, ellipse, polyline, rectangle, rounded, smooth } from "./paths.js";

const FULLEST_PLATE = 0.94; // of the picture's width
// Where a plate goes if another is there already: steps of its height, nearest first
const ASIDE = [0, -1, 1, -2, 2, -3, 3, -4, 4];

/**
 * The layers of a mark on a picture; `said` are its measure's few words. A plate keeps off those
 * that are taken; a label stays where the coach put it.
 * @param {Mark} mark @param {Frame} frame @param {string} [said] @param {Plate[]} [taken] @returns {Shape}
 */
export function shapeOf(mark, frame, said = "", taken = []) {
  return MAKERS[mark.kind](mark, frame, said, taken);
}

/** The plates of labels, which no number may cover. @param {Mark[]} marks @param {Frame} frame @returns {Plate[]} */
export function labelPlates(marks, frame) {
  const labels = marks.filter((mark) => mark.kind === "label");
  return labels.map((mark) => /** @type {Plate} */ (shapeOf(mark, frame).plate));
}

/** @param {Path} path @param {Mark} mark @param {Frame} frame @returns {Layer[]} */
function stroked(path, mark, frame) {
  const [width, halo] = [frame.px("stroke"), frame.px("halo")];
  const edge = frame.colours.get(mark.colour).edge;
  return [
    { path, fill: "", stroke: edge, width: width + 2 * halo },
    { path, fill: "", stroke: mark.colour, width },
  ];
}

/** @param {Path} path @param {Mark} mark @param {Frame} frame @returns {Layer[]} */
function filled(path, mark, frame) {
  const edge = frame.colours.get(mark.colour).edge;
  return [
    { path, fill: edge, stroke: edge, width: 2 * frame.px("halo") },
    { path, fill: mark.colour, stroke: "", width: 0 },
  ];
}

/** Words on a plate of the mark's colour, kept inside the picture and off other plates. @returns {Shape} */
function plate(/** @type {string} */ words, /** @type {Point} */ centre, /** @type {Mark} */ mark, /** @type {Frame} */ frame, /** @type {Plate[]} */ taken = []) {
  const [width, height, size] = plateSize(words, frame);
  const x = Math.min(Math.max(centre[0] - width / 2, 0), frame.width - width);
  const step = height + frame.px("plate_apart");
  const places = ASIDE.map((n) => {
    const y = Math.min(Math.max(centre[1] - height / 2 + n * step, 0), frame.height - height);
    return { x, y, width, height };
  });
  const place = places.find((one) => !taken.some((other) => liesOn(one, other))) ?? places[0];
  const { y } = place;
  const wide = frame.textWidth(words, size);
  return {
    layers: filled(rounded(x, y, width, height, frame.px("plate_corner")), mark, frame),
    text: {
      words,
      x: x + (width - wide) / 2,
      y: y + (height + size * frame.constants.cap_height) / 2,
      size,
      width: wide,
      colour: frame.colours.get(mark.colour).ink,
    },
    plate: place,
  };
}

/** @param {Plate} one @param {Plate} other */
function liesOn(one, other) {
  const across = one.x < other.x + other.width && other.x < one.x + one.width;
  return across && one.y < other.y + other.height && other.y < one.y + one.height;
}

/** Words beside the middle of a line, above it or, if it is upright, on its right. @returns {Shape} */
function withWords(/** @type {Layer[]} */ layers, /** @type {Mark} */ mark, /** @type {Frame} */ frame, /** @type {string} */ said, /** @type {Plate[]} */ taken) {
  if (!said) return { layers, text: null };
  const [[x, y], [x2, y2]] = mark.points;
  const length = distance(mark.points[0], mark.points[1]);
  let [nx, ny] = length ? [(y2 - y) / length, (x - x2) / length] : [0, -1];
  if (ny > 0 || (ny === 0 && nx < 0)) [nx, ny] = [-nx, -ny];
  const [width, height] = plateSize(said, frame);
  const away = frame.px("plate_gap") + frame.px("stroke") + (Math.abs(nx) * width + Math.abs(ny) * height) / 2;
  const shown = plate(said, [(x + x2) / 2 + away * nx, (y + y2) / 2 + away * ny], mark, frame, taken);
  return { ...shown, layers: [...layers, ...shown.layers] };
}

/** Width, height and text size of a plate. @param {string} words @param {Frame} frame */
function plateSize(words, frame) {
  let size = frame.px("text_size");
  const [padX, padY] = [frame.px("plate_pad_x"), frame.px("plate_pad_y")];
  const room = FULLEST_PLATE * frame.width - 2 * padX;
  let wide = frame.textWidth(words, size);
  if (wide > room) {
    size *= room / wide;
    wide = room;
  }
  return [wide + 2 * padX, size * frame.constants.cap_height + 2 * padY, size];
}

/** @type {Record<string, (mark: Mark, frame: Frame, said: string, taken: Plate[]) => Shape>} */
const MAKERS = {
  line: (mark, frame, said, taken) => withWords(stroked(polyline(mark.points), mark, frame), mark, frame, said, taken),
  box: (mark, frame) => ({ layers: stroked(rectangle(mark.points[0], mark.points[1]), mark, frame), text: null }),
  ellipse: (mark, frame) => ({ layers: stroked(ellipse(mark.points[0], mark.points[1]), mark, frame), text: null }),
  freehand: (mark, frame) => ({ layers: stroked(smooth(mark.points), mark, frame), text: null }),
  label: (mark, frame) => plate(mark.text, mark.points[0], mark, frame),

  arrow(mark, frame, said, taken) {
    const [tail, tip] = mark.points;
    const length = distance(tail, tip);
    const head = Math.min(frame.px("head_length"), 0.6 * length);
    const half = (head * frame.constants.head_width) / frame.constants.head_length / 2;
    const [dx, dy] = length ? [(tip[0] - tail[0]) / length, (tip[1] - tail[1]) / length] : [1, 0];
    /** @type {Point} */
    const base = [tip[0] - head * dx, tip[1] - head * dy];
    const point = polyline([tip, [base[0] - half * dy, base[1] + half * dx], [base[0] + half * dy, base[1] - half * dx]], true);
    const [shaftEdge, shaft] = stroked(polyline([tail, base]), mark, frame);
    const [headEdge, headFill] = filled(point, mark, frame);
    return withWords([shaftEdge, headEdge, shaft, headFill], mark, frame, said, taken);
  },

  angle(mark, frame, said, taken) {
    const [first, corner, second] = mark.points;
    // Two points: the second arm is still to come
    if (!second) return { layers: stroked(polyline(mark.points), mark, frame), text: null };
    const sweep = sweepRad(first, corner, second);
    const start = Math.atan2(first[1] - corner[1], first[0] - corner[0]);
    const shorter = Math.min(distance(corner, first), distance(corner, second));
    const radius = Math.min(frame.px("arc_radius"), 0.6 * shorter);
    let path = polyline(mark.points);
    if (radius > 0 && sweep !== 0) path = [...path, ...arc(corner, radius, start, sweep)];
    const words = said || `${degreesOf(mark)}°`;
    const [width, height] = plateSize(words, frame);
    const middle = start + sweep / 2;
    const [cos, sin] = [Math.cos(middle), Math.sin(middle)];
    const away = radius + frame.px("plate_gap") + (Math.abs(cos) * width + Math.abs(sin) * height) / 2;
    const shown = plate(words, [corner[0] + away * cos, corner[1] + away * sin], mark, frame, taken);
    return { ...shown, layers: [...stroked(path, mark, frame), ...shown.layers] };
  },

  ruler(mark, frame, said, taken) {
    const [a, b] = mark.points;
    const [length, half] = [distance(a, b), frame.px("tick")];
    const [nx, ny] = length ? [((a[1] - b[1]) / length) * half, ((b[0] - a[0]) / length) * half] : [0, half];
    let path = polyline(mark.points);
    for (const [x, y] of [a, b]) path = [...path, ...polyline([[x - nx, y - ny], [x + nx, y + ny]])];
    return withWords(stroked(path, mark, frame), mark, frame, said, taken);
  },

  point(mark, frame, said, taken) {
    const [[x, y]] = mark.points;
    const r = frame.px("point_radius");
    const path = [
      ...ellipse([x - r, y - r], [x + r, y + r]),
      ...polyline([[x - 1.6 * r, y], [x + 1.6 * r, y]]),
      ...polyline([[x, y - 1.6 * r], [x, y + 1.6 * r]]),
    ];
    const layers = stroked(path, mark, frame);
    if (!said) return { layers, text: null };
    const away = 1.6 * r + frame.px("plate_gap") + plateSize(said, frame)[0] / 2;
    const shown = plate(said, [x + (x + 2 * away < frame.width ? away : -away), y], mark, frame, taken);
    return { ...shown, layers: [...layers, ...shown.layers] };
  },
};
