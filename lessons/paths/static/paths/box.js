/**
 * The box on the picture: its outline, its middle, and a handle at each corner.
 * @typedef {{x: number, y: number, width: number, height: number, isSure?: boolean}} Box
 *   the middle and the sides, in the picture's pixels
 */
const SVG = "http://www.w3.org/2000/svg";
const HANDLE_PX = 9; // on the screen
export const LEAST = 16; // of a side, in the picture's pixels

export class BoxDrawing {
  /** @type {Box | null} */
  box = null;

  /** @param {SVGSVGElement} svg */
  constructor(svg) {
    this.svg = svg;
    this.group = /** @type {SVGGElement} */ (svg.querySelector(".path-box"));
    this.corners = /** @type {SVGGElement} */ (svg.querySelector(".path-corners"));
  }

  /** Picture pixels in a pixel of the screen. */
  get grain() {
    return 1 / (this.svg.getScreenCTM()?.a || 1);
  }

  /** @param {Box | null} box @param {boolean} byHand drawn or moved: its corners can be taken */
  put(box, byHand = true) {
    this.box = box;
    this.group.toggleAttribute("hidden", !box);
    this.group.toggleAttribute("data-unsure", box?.isSure === false);
    this.corners.replaceChildren();
    if (!box) return;
    const [x, y] = [box.x - box.width / 2, box.y - box.height / 2];
    for (const rect of this.group.querySelectorAll("rect")) {
      for (const [name, value] of Object.entries({ x, y, width: box.width, height: box.height })) rect.setAttribute(name, value.toFixed(2));
    }
    const arm = Math.min(box.width, box.height) / 8;
    this.group.querySelector(".path-middle")?.setAttribute("d", `M${box.x - arm} ${box.y}h${2 * arm}M${box.x} ${box.y - arm}v${2 * arm}`);
    if (!byHand) return;
    for (const [cx, cy] of cornersOf(box)) {
      const dot = document.createElementNS(SVG, "circle");
      for (const [name, value] of Object.entries({ cx, cy, r: HANDLE_PX * this.grain })) dot.setAttribute(name, value.toFixed(2));
      this.corners.append(dot);
    }
  }

  /** Where on the picture a place on the screen is. @param {PointerEvent} event @returns {[number, number]} */
  place(event) {
    const matrix = this.svg.getScreenCTM();
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix?.inverse());
    return [at.x, at.y];
  }

  /** Held within the picture. @param {Box} box @returns {Box} */
  within({ x, y, width, height }) {
    const { width: wide, height: tall } = this.svg.viewBox.baseVal;
    const hold = (/** @type {number} */ value, /** @type {number} */ most) => Math.max(0, Math.min(most, value));
    return { x: hold(x, wide), y: hold(y, tall), width: Math.max(LEAST, width), height: Math.max(LEAST, height) };
  }
}

/** @param {Box} box @returns {[number, number][]} */
export function cornersOf({ x, y, width, height }) {
  const [w, h] = [width / 2, height / 2];
  return [
    [x - w, y - h],
    [x + w, y - h],
    [x + w, y + h],
    [x - w, y + h],
  ];
}

/** The box between two places. @param {[number, number]} a @param {[number, number]} b @returns {Box} */
export function between([ax, ay], [bx, by]) {
  return { x: (ax + bx) / 2, y: (ay + by) / 2, width: Math.abs(bx - ax), height: Math.abs(by - ay) };
}
