/**
 * A finger, pen or mouse on the picture: a drag draws a box; one that begins in the box moves it,
 * one at a corner sizes it; a tap puts the box there.
 * @typedef {import("./path-viewer.js").PathViewer} Viewer
 * @typedef {import("./box.js").Box} Box
 */
import { between, cornersOf } from "./box.js";

const REACH_PX = { touch: 26, other: 14 }; // of a corner, on the screen
const TAP_PX = 6;

export class Hand {
  /** @type {{id: number, from: [number, number], begin: Box | null, work: (to: [number, number]) => Box, moved: boolean} | null} */
  #held = null;

  /** @param {Viewer} viewer @param {SVGSVGElement} svg */
  constructor(viewer, svg) {
    this.viewer = viewer;
    this.svg = svg;
    svg.addEventListener("pointerdown", (event) => this.#press(event));
    svg.addEventListener("pointermove", (event) => this.#move(event));
    svg.addEventListener("pointerup", (event) => this.#lift(event));
    svg.addEventListener("pointercancel", (event) => this.#drop(event));
  }

  get #drawing() {
    return /** @type {import("./box.js").BoxDrawing} */ (this.viewer.drawing);
  }

  /** @param {PointerEvent} event */
  #press(event) {
    if (event.button !== 0 || this.#held) return;
    event.preventDefault();
    this.svg.setPointerCapture(event.pointerId);
    this.svg.focus({ preventScroll: true });
    this.svg.dataset.hand = "";
    const from = this.#drawing.place(event);
    const reach = (event.pointerType === "touch" ? REACH_PX.touch : REACH_PX.other) * this.#drawing.grain;
    this.#held = { id: event.pointerId, from, begin: this.#drawing.box, work: this.#meant(from, reach), moved: false };
  }

  /** What a drag from here does. @param {[number, number]} from @param {number} reach @returns {(to: [number, number]) => Box} */
  #meant(from, reach) {
    const box = this.#drawing.box;
    if (!box) return (to) => between(from, to);
    const isWithin = (/** @type {number} */ share) =>
      Math.abs(from[0] - box.x) <= (share * box.width) / 2 && Math.abs(from[1] - box.y) <= (share * box.height) / 2;
    /** @param {[number, number]} to */
    const carried = (to) => ({ ...box, x: box.x + to[0] - from[0], y: box.y + to[1] - from[1] });
    // A small box under a finger has a corner nearby wherever it is held: its middle moves it
    if (isWithin(0.5)) return carried;
    const corners = cornersOf(box);
    const near = corners.findIndex(([x, y]) => Math.hypot(x - from[0], y - from[1]) <= reach);
    if (near >= 0) {
      const opposite = corners[(near + 2) % 4];
      return (to) => between(opposite, to);
    }
    return isWithin(1) ? carried : (to) => between(from, to);
  }

  /** @param {PointerEvent} event */
  #move(event) {
    const held = this.#held;
    if (!held || held.id !== event.pointerId) return;
    const to = this.#drawing.place(event);
    const far = Math.hypot(to[0] - held.from[0], to[1] - held.from[1]) / this.#drawing.grain;
    if (!held.moved && far < TAP_PX) return;
    held.moved = true;
    this.viewer.changed(this.#drawing.within(held.work(to)));
  }

  /** @param {PointerEvent} event */
  #lift(event) {
    const held = this.#held;
    if (!held || held.id !== event.pointerId) return;
    this.#held = null;
    if (held.moved) return;
    const [x, y] = held.from;
    this.viewer.changed(this.#drawing.within({ ...(held.begin ?? this.viewer.usual), x, y }));
  }

  /** @param {PointerEvent} event */
  #drop(event) {
    const held = this.#held;
    if (!held || held.id !== event.pointerId) return;
    this.#held = null;
    if (held.moved && held.begin) this.viewer.changed(held.begin);
  }
}
