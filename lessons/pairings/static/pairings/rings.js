/**
 * Two rings on each picture, dragged to the same two points of each: by what they say the
 * pictures come to the same size and place. A finger drags from anywhere near, so that it does
 * not cover the point; keys move the ring that has the focus.
 */
const NEAREST = 0.05; // of the picture's height
export const START = /** @type {[[number, number], [number, number]]} */ ([[0.5, 0.25], [0.5, 0.85]]);
const KEYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

export class Rings {
  /** @param {import("./side.js").Side} side @param {(points: [[number, number], [number, number]], key: string) => void} moved */
  constructor(side, moved) {
    this.side = side;
    this.moved = moved;
    this.plate = side.plate;
    this.rings = /** @type {HTMLElement[]} */ ([...this.plate.querySelectorAll("[data-ring]")]);
    this.points = START;
    this.drag = /** @type {{id: number, ring: number, x: number, y: number, from: [number, number]} | null} */ (null);
    for (const name of ["pointerdown", "pointermove", "pointerup", "pointercancel"]) {
      this.plate.addEventListener(name, (event) => this.#hand(/** @type {PointerEvent} */ (event)));
    }
    this.plate.addEventListener("keydown", (event) => this.#key(event));
  }

  /** @param {[[number, number], [number, number]] | null} points */
  show(points) {
    this.points = points ?? START;
    this.rings.forEach((ring, k) => {
      const [x, y] = this.#seen(this.points[k]);
      ring.style.insetInlineStart = `${100 * x}%`;
      ring.style.insetBlockStart = `${100 * y}%`;
    });
  }

  /** A point as it lies on the screen, and back: the other way round on a mirrored picture. @param {[number, number]} point @returns {[number, number]} */
  #seen([x, y]) {
    return [this.side.mirrored ? 1 - x : x, y];
  }

  /** @param {number} ring @param {[number, number]} seen @param {string} key */
  #put(ring, seen, key) {
    const { width_px: width, height_px: height } = this.side.given;
    const at = this.#seen(/** @type {[number, number]} */ (seen.map((value) => Math.max(0, Math.min(1, Math.round(value * 1e4) / 1e4)))));
    const other = this.points[1 - ring];
    if (Math.hypot((at[0] - other[0]) * width, (at[1] - other[1]) * height) < NEAREST * height) return;
    this.show(ring ? [other, at] : [at, other]);
    this.moved(this.points, key);
  }

  /** @param {PointerEvent} event */
  #hand(event) {
    const box = this.plate.getBoundingClientRect();
    if (event.type === "pointerdown" && event.isPrimary) {
      const x = (event.clientX - box.left) / box.width;
      const y = (event.clientY - box.top) / box.height;
      const off = this.points.map((point) => Math.hypot(this.#seen(point)[0] - x, this.#seen(point)[1] - y));
      const ring = off[0] <= off[1] ? 0 : 1;
      this.drag = { id: event.pointerId, ring, x: event.clientX, y: event.clientY, from: this.#seen(this.points[ring]) };
      this.plate.setPointerCapture(event.pointerId);
      this.rings[ring].focus({ preventScroll: true });
      event.preventDefault();
      event.stopPropagation(); // a swipe on the stage would take the pointer over
      return;
    }
    if (!this.drag || event.pointerId !== this.drag.id) return;
    if (event.type === "pointermove") {
      const { from, x, y, ring } = this.drag;
      this.#put(ring, [from[0] + (event.clientX - x) / box.width, from[1] + (event.clientY - y) / box.height], `ring ${this.side.id} ${ring} ${this.drag.x}`);
      return;
    }
    this.drag = null;
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    const way = /** @type {Record<string, number[]>} */ (KEYS)[event.key];
    const ring = this.rings.indexOf(/** @type {HTMLElement} */ (event.target));
    if (!way || ring < 0) return;
    event.preventDefault();
    event.stopPropagation();
    const step = event.shiftKey ? 10 : 1;
    const [x, y] = this.#seen(this.points[ring]);
    const { width_px: width, height_px: height } = this.side.given;
    this.#put(ring, [x + (way[0] * step) / width, y + (way[1] * step) / height], `key ${this.side.id} ${ring}`);
  }
}
