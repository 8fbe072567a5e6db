/**
 * The picture that marks lie on.
 * @typedef {import("./geometry.js").Point} Point
 */
import { between } from "./geometry.js";

/** The picture that marks lie on, with the measures of the drawing on it. */
export class Frame {
  /** @param {number} width @param {number} height @param {any} constants of drawing.json */
  constructor(width, height, constants) {
    this.width = width;
    this.height = height;
    this.constants = constants;
    this.unit = Math.sqrt(width * height) / constants.unit_per_side;
    this.colours = new Map(constants.colours.map((/** @type {any} */ c) => [c.value, c]));
    this.advances = new Map();
    for (const [advance, letters] of Object.entries(constants.advances)) {
      for (const letter of letters) this.advances.set(letter, Number(advance));
    }
  }

  /** A length of drawing.json in pixels of this picture. @param {string} name */
  px(name) {
    return this.constants[name] * this.unit;
  }

  /** Width in pixels that a text takes, whatever font draws it. @param {string} text @param {number} size */
  textWidth(text, size) {
    let total = 0;
    for (const letter of text) {
      const wide = /** @type {number} */ (letter.codePointAt(0)) >= 0x1100;
      const other = wide ? this.constants.advance_wide : this.constants.advance_other;
      total += this.advances.get(letter) ?? other;
    }
    return (total * size) / 1000;
  }
}

/** A point brought inside the picture. @param {Point} point @param {Frame} frame @returns {Point} */
export function inside([x, y], frame) {
  return [between(x, 0, frame.width), between(y, 0, frame.height)];
}
