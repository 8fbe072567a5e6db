/**
 * What marks are called; lessons/marks/mark.py has the same.
 * @typedef {import("./shapes.js").Mark} Mark
 */
import { angleDeg, whole } from "./geometry.js";

/** What an angle shows: whole degrees. @param {Mark} mark */
export function degreesOf(mark) {
  return whole(angleDeg(mark.points[0], mark.points[1], mark.points[2]));
}

/** The mark in words: 'Angle, 32 degrees', 'Line 2: Spine'. @param {Mark} mark @param {string} [number] */
function wordsOf(mark, number = "") {
  const kind = `${mark.kind[0].toUpperCase()}${mark.kind.slice(1)} ${number}`.trim();
  const words = mark.text ? `${kind}: ${mark.text}` : kind;
  return mark.kind === "angle" && mark.points.length === 3 ? `${words}, ${degreesOf(mark)} degrees` : words;
}

/** What tells marks of one kind and name apart, by their ids: '1', '2' as they were drawn, '' for the only one. @param {Mark[]} marks */
export function numbersOf(marks) {
  const kindOf = (/** @type {Mark} */ mark) => JSON.stringify([mark.kind, mark.text]);
  /** @type {Map<string, Mark[]>} */
  const alike = new Map();
  for (const mark of marks) alike.set(kindOf(mark), [...(alike.get(kindOf(mark)) ?? []), mark]);
  return new Map(marks.map((mark) => {
    const like = alike.get(kindOf(mark)) ?? [];
    return [mark.id, like.length > 1 ? String(like.indexOf(mark) + 1) : ""];
  }));
}

/** What each mark is called among the others, by their ids. @param {Mark[]} marks @returns {Map<string, string>} */
export function namesOf(marks) {
  const numbers = numbersOf(marks);
  return new Map(marks.map((mark) => [mark.id, wordsOf(mark, numbers.get(mark.id))]));
}
