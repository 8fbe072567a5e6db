/**
 * What a mark is before anything was done to it.
 * @typedef {import("./shapes.js").Mark} Mark
 */
import { LINES } from "./measures.js";
import { newId } from "./state.js";

const BALL_MM = 42.67; // smallest diameter: Rules of Golf, equipment rules

/**
 * A new mark. A ruler is a ball's until told otherwise; a point belongs to the line drawn last.
 * @param {string} kind @param {import("./geometry.js").Point[]} points @param {string} colour
 * @param {Mark[]} others what is drawn already @returns {Mark}
 */
export function blankMark(kind, points, colour, others) {
  const mark = { id: newId(), kind, points, colour, text: "" };
  if (kind === "ruler") return { ...mark, length_mm: BALL_MM };
  const line = kind === "point" ? [...others].reverse().find((other) => LINES.includes(other.kind)) : null;
  return line ? { ...mark, against: line.id, shows: "off" } : mark;
}
