/** Fingers on a picture that is only looked at: pinch, move, double tap. */
import { pinchStep } from "./pinch.js";

const TWICE_MS = 320;
const CLOSER = 2.5;

export class Hand {
  /** @param {import("./view.js").View} view @param {SVGSVGElement} svg */
  constructor(view, svg) {
    this.view = view;
    this.svg = svg;
    /** @type {Map<number, PointerEvent>} */
    this.down = new Map();
    this.lastTap = -Infinity;
    svg.addEventListener("pointerdown", (event) => this.press(event));
    svg.addEventListener("pointermove", (event) => this.move(event));
    for (const name of ["pointerup", "pointercancel"]) {
      svg.addEventListener(name, (event) => this.down.delete(/** @type {PointerEvent} */ (event).pointerId));
    }
    svg.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
  }

  /** @param {PointerEvent} event */
  press(event) {
    this.svg.setPointerCapture(event.pointerId);
    this.down.set(event.pointerId, event);
    if (this.down.size > 1) return;
    const isTwice = event.timeStamp - this.lastTap < TWICE_MS;
    this.lastTap = isTwice ? -Infinity : event.timeStamp;
    if (isTwice) this.view.zoomTo(this.view.zoom > 1 ? 1 : CLOSER, event.clientX, event.clientY);
  }

  /** @param {PointerEvent} event */
  move(event) {
    const before = this.down.get(event.pointerId);
    if (!before) return;
    if (this.down.size === 1) this.view.panBy(event.clientX - before.clientX, event.clientY - before.clientY);
    else pinchStep(this.view, this.down, event);
    this.down.set(event.pointerId, event);
  }

  /** @param {WheelEvent} event */
  wheel(event) {
    if (!event.ctrlKey) return;
    event.preventDefault();
    this.view.zoomTo(this.view.zoom * Math.exp(-event.deltaY / 150), event.clientX, event.clientY);
  }
}
