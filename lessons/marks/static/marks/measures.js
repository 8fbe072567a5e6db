/**
 * What the marks of a still measure, in the trade's words; the twin of lessons/marks/measures.py.
 * @typedef {import("./shapes.js").Mark} Mark
 * @typedef {import("./readings.js").Reading} Reading
 * @typedef {{view: string, handed: string, error_px: number}} Sight
 * @typedef {{kind: string, value: number, error: number, unit: string, to: string, ways: [string, string], by: string}} Measure
 */
import { distance, whole } from "./geometry.js";
import * as readings from "./readings.js";
import { numbersOf } from "./names.js";

/** @type {Record<string, [string, string]>} */
const WAYS = {
  "face-on": ["toward the target", "away from the target"],
  "down-the-line": ["toward the ball", "away from the ball"],
  other: ["to the right", "to the left"],
};
export const LINES = ["line", "arrow"];

/** @param {Sight} sight */
function sideOf(sight) {
  return sight.handed === "left" && sight.view !== "other" ? -1 : 1;
}

/** @param {Mark} mark @param {Mark[]} marks @param {Sight} sight @returns {Measure[]} */
export function measuresOf(mark, marks, sight) {
  const u = sight.error_px;
  const [a, b, c] = mark.points;
  if (mark.kind === "angle") return c ? kept(measure("angle", readings.corner(a, b, c, u))) : [];
  const by = scaleOf(marks, sight);
  const other = marks.find((m) => m.id === mark.against && LINES.includes(m.kind));
  if (mark.kind === "point") return other ? pointMeasures(mark, other, by, marks, sight) : [];
  if (!LINES.includes(mark.kind)) return [];
  const [toward, away] = WAYS[sight.view] ?? WAYS.other;
  const side = sideOf(sight);
  return kept(
    measure("level", readings.level(a, b, side, u), "°", "to the horizontal", [`rising ${toward}`, `rising ${away}`]),
    measure("upright", readings.upright(a, b, side, u), "°", "from the vertical", [`leaning ${toward}`, `leaning ${away}`]),
    by && measure("length", readings.lengthCm(a, b, by, u), "cm", "long", ["", ""], byWords(marks)),
    other && other.id !== mark.id
      ? measure("lines", readings.betweenLines(a, b, other.points[0], other.points[1], u), "°", `to ${called(other, marks)}`)
      : null,
  );
}

/** @param {Mark} mark @param {Mark} line @param {import("./readings.js").Scale | null} by @param {Mark[]} marks @param {Sight} sight */
function pointMeasures(mark, line, by, marks, sight) {
  const [point] = mark.points;
  const [a, b] = line.points;
  const [side, u] = [sideOf(sight), sight.error_px];
  /** @type {[string, string]} */
  const ways = readings.isSteep(a, b) ? (WAYS[sight.view] ?? WAYS.other) : ["above", "below"];
  const to = called(line, marks);
  return kept(
    measure("off", readings.offDeg(point, a, b, side, u), "°", to, ways),
    by && measure("off_cm", readings.offCm(point, a, b, side, by, u), "cm", to, ways, byWords(marks)),
  );
}

/** @param {Mark[]} marks */
export function rulersOf(marks) {
  return marks.filter((mark) => mark.kind === "ruler");
}

/** The ruler that counts: the one that the coach chose, else the longest. @param {Mark[]} marks @returns {Mark | null} */
export function rulerOf(marks) {
  const span = (/** @type {Mark} */ mark) => distance(mark.points[0], mark.points[1]);
  const rulers = rulersOf(marks);
  if (!rulers.length) return null;
  const chosen = rulers.find((mark) => mark.shows === "scale");
  return chosen ?? rulers.reduce((best, mark) => (span(mark) > span(best) ? mark : best));
}

/** The still's scale, by the ruler that counts. @param {Mark[]} marks @param {Sight} sight */
export function scaleOf(marks, sight) {
  const ruler = rulerOf(marks);
  return ruler && readings.scale(ruler.points[0], ruler.points[1], ruler.length_mm ?? 0, sight.error_px);
}

/** Marks, and those that are put over them: a ruler among the first goes on counting. @param {Mark[]} there @param {Mark[]} more @returns {[Mark[], Mark[]]} */
export function keepScale(there, more) {
  const ruler = rulerOf(there);
  if (!ruler || !rulersOf(more).length) return [there, more];
  return [
    there.map((mark) => (mark === ruler ? { ...mark, shows: "scale" } : mark)),
    more.map((mark) => (mark.kind === "ruler" ? { ...mark, shows: "" } : mark)),
  ];
}

/** The few words on the mark itself. @param {Mark} mark @param {Mark[]} marks @param {Sight} sight */
export function said(mark, marks, sight) {
  if (mark.kind === "ruler") {
    const isUnused = (rulerOf(marks)?.id ?? mark.id) !== mark.id;
    return `${knownCm(mark.length_mm ?? 0)} cm${isUnused ? ", unused" : ""}`;
  }
  const wanted = mark.kind === "angle" ? "angle" : mark.shows;
  const found = wanted ? measuresOf(mark, marks, sight).find((m) => m.kind === wanted) : null;
  if (!found) return "";
  return found.ways[0] === "above" ? `${short(found)} ${wayOf(found)}`.trim() : short(found);
}

/** '12° ±1°', '8.4 ±0.6 cm'. @param {Measure} m */
export function short(m) {
  const [value, error] = rounded(m);
  return m.unit === "°" ? `${value}° ±${error}°` : `${value} ±${error} cm`;
}

/** Which way it is off; nothing where the number shown is 0. @param {Measure} m */
function wayOf(m) {
  return Number(rounded(m)[0]) === 0 ? "" : m.ways[m.value > 0 ? 0 : 1];
}

/** '12° ±1° from the vertical, leaning away from the target'. @param {Measure} m */
export function sentence(m) {
  const way = wayOf(m);
  const by = m.by && `, by ${m.by}`;
  if (m.ways[0] === "above") return `${short(m)} ${way || "off"} ${m.to}${by}`;
  const to = m.kind === "off" || m.kind === "off_cm" ? `off ${m.to}` : m.to;
  const words = `${short(m)} ${to}`.trim();
  return way ? `${words}, ${way}${by}` : `${words}${by}`;
}

/** @param {number} lengthMm */
export function knownCm(lengthMm) {
  const tenths = whole(lengthMm);
  return tenths % 10 === 0 ? String(tenths / 10) : (tenths / 10).toFixed(1);
}

/** @param {Measure} m @returns {[string, string]} */
function rounded({ value, error, unit }) {
  const size = Math.abs(value);
  if (unit === "cm" && error < 1) {
    return [(whole(size * 10) / 10).toFixed(1), (Math.max(1, whole(error * 10)) / 10).toFixed(1)];
  }
  return [String(whole(size)), String(Math.max(1, whole(error)))];
}

/** What a mark is called in a sentence about another one: its name, else 'line 2', 'the line'. @param {Mark} mark @param {Mark[]} marks */
export function called(mark, marks) {
  const number = numbersOf(marks).get(mark.id);
  if (mark.text) return number ? `${mark.text} (${mark.kind} ${number})` : mark.text;
  return number ? `${mark.kind} ${number}` : `the ${mark.kind}`;
}

/** The ruler that counts, in words, where there is more than one. @param {Mark[]} marks */
export function byWords(marks) {
  const ruler = rulerOf(marks);
  return ruler && rulersOf(marks).length > 1 ? `${called(ruler, marks)}, ${knownCm(ruler.length_mm ?? 0)} cm` : "";
}

/** @param {string} kind @param {Reading | null} read @param {string} unit @param {string} to @param {[string, string]} ways @param {string} by @returns {Measure | null} */
function measure(kind, read, unit = "°", to = "", ways = ["", ""], by = "") {
  if (!read?.every(Number.isFinite)) return null;
  return { kind, value: read[0], error: read[1], unit, to, ways, by };
}

/** @param {(Measure | null)[]} found */
function kept(...found) {
  return /** @type {Measure[]} */ (found.filter(Boolean));
}
