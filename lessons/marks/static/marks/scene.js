/**
 * The marks and the chosen one's handles as SVG, and which mark lies under a point.
 * @typedef {import("./geometry.js").Point} Point
 * @typedef {import("./shapes.js").Mark} Mark
 */
import { distanceToLine, isInside } from "./geometry.js";
import { handlesOf } from "./handles.js";
import { said } from "./measures.js";
import { namesOf } from "./names.js";
import { flatten, polyline, svgData } from "./paths.js";
import { labelPlates, shapeOf } from "./shapes.js";
import { element, paint } from "./svg.js";

const HANDLE_PX = 13; // radius on the screen at any zoom
const RING_GAP_PX = 5;

export class Scene {
  /** @param {SVGSVGElement} svg @param {import("./state.js").State} state @param {import("./view.js").View} view @param {import("./frame.js").Frame} frame @param {import("./measures.js").Sight} sight */
  constructor(svg, state, view, frame, sight) {
    this.state = state;
    this.view = view;
    this.frame = frame;
    this.sight = sight;
    this.marks = /** @type {SVGGElement} */ (svg.querySelector(".marks"));
    this.handles = /** @type {SVGGElement} */ (svg.querySelector(".mark-handles"));
    /** @type {Point[] | null} rings that are dragged instead of a mark's ends */
    this.rings = null;
    this.handle = -1; // the one that arrow keys move; -1: the whole mark
    /** @type {Map<string, {mark: Mark, key: string, group: SVGElement, shape: import("./shapes.js").Shape}>} */
    this.drawn = new Map();
    this.marks.replaceChildren();
    state.addEventListener("change", () => this.draw());
    state.addEventListener("choose", () => this.chosen());
    view.addEventListener("change", () => this.drawHandles());
    this.draw();
  }

  /** Draw what changed; an element stays the same while its mark lives, so that focus stays. */
  draw() {
    const { marks } = this.state;
    const ids = new Set(marks.map((mark) => mark.id));
    const names = namesOf(marks);
    const taken = labelPlates(marks, this.frame);
    for (const [id, { group }] of this.drawn) {
      if (ids.has(id)) continue;
      group.remove();
      this.drawn.delete(id);
    }
    marks.forEach((mark, place) => {
      const known = this.drawn.get(mark.id);
      const group = known?.group ?? element("g", { tabindex: 0, role: "img", "data-mark": mark.id });
      const words = said(mark, marks, this.sight);
      const name = names.get(mark.id) ?? "";
      // A number may have to make room for another mark's
      const key = JSON.stringify([words, name, words && taken]);
      if (known?.mark !== mark || known.key !== key) {
        const shape = shapeOf(mark, this.frame, words, taken);
        paint(group, shape, svgData);
        group.setAttribute("data-kind", mark.kind);
        group.setAttribute("aria-label", `${name}, ${this.frame.colours.get(mark.colour).name}`);
        this.drawn.set(mark.id, { mark, key, group, shape });
      }
      const { plate } = /** @type {any} */ (this.drawn.get(mark.id)).shape;
      if (plate && mark.kind !== "label") taken.push(plate);
      if (this.marks.children[place] !== group) this.marks.insertBefore(group, this.marks.children[place] ?? null);
    });
    this.drawHandles();
  }

  chosen() {
    this.handle = -1;
    for (const [id, { group }] of this.drawn) group.toggleAttribute("data-chosen", id === this.state.chosenId);
    this.drawHandles();
  }

  /** Handles keep their size on the screen: their size in the picture follows the zoom. */
  drawHandles() {
    const mark = this.state.chosen;
    const px = 1 / this.view.scale;
    // A ring that lies on one spot leaves that spot in sight
    const isAimed = this.rings !== null || mark?.kind === "point";
    const rings = (this.rings ?? (mark ? handlesOf(mark) : [])).map(([cx, cy], i) => {
      const kind = `mark-handle${isAimed ? " mark-aim" : ""}${i === this.handle ? " mark-held" : ""}`;
      return element("circle", { cx, cy, r: HANDLE_PX * px, class: kind });
    });
    // What is laid over is brought to a spot: a cross, open in its middle
    if (this.rings) rings.push(...this.rings.map((at) => element("path", { d: crosshair(at, HANDLE_PX * px), class: "mark-cross" })));
    if (mark && !rings.length) rings.push(this.#around(mark, px));
    this.handles.replaceChildren(...this.#against(mark), ...rings);
  }

  /** The line that the chosen mark is measured against, made to stand out. @param {Mark | null} mark */
  #against(mark) {
    const line = mark?.against ? this.state.marks.find((other) => other.id === mark.against) : null;
    return line ? [element("path", { d: svgData(polyline(line.points)), class: "mark-against-line" })] : [];
  }

  /** A frame round a mark that has no ends to drag. @param {Mark} mark @param {number} px */
  #around(mark, px) {
    const parts = flatten(/** @type {any} */ (this.drawn.get(mark.id)).shape.layers[0].path).flat();
    const [xs, ys] = [parts.map((p) => p[0]), parts.map((p) => p[1])];
    const gap = RING_GAP_PX * px;
    const [x, y] = [Math.min(...xs) - gap, Math.min(...ys) - gap];
    const size = { width: Math.max(...xs) + gap - x, height: Math.max(...ys) + gap - y };
    return element("rect", { x, y, ...size, rx: gap, class: "mark-around" });
  }

  /** The topmost mark that passes within reach of a point. @param {Point} point @param {number} reach @returns {Mark | null} */
  markAt(point, reach) {
    let [found, nearest] = [/** @type {Mark | null} */ (null), reach];
    for (const mark of [...this.state.marks].reverse()) {
      const { shape } = /** @type {any} */ (this.drawn.get(mark.id));
      for (const layer of shape.layers) {
        for (const part of flatten(layer.path)) {
          const off = layer.fill && isInside(point, part) ? 0 : distanceToLine(point, part) - layer.width / 2;
          if (off < nearest) [found, nearest] = [mark, off];
        }
      }
    }
    return found;
  }

  /** @param {string} id */
  focus(id) {
    /** @type {SVGElement | undefined} */ (this.drawn.get(id)?.group)?.focus({ preventScroll: true });
  }
}

/** @param {Point} at @param {number} r @returns {string} */
function crosshair([x, y], r) {
  const [far, near] = [1.4 * r, 0.25 * r];
  const arms = [[1, 0], [-1, 0], [0, 1], [0, -1]];
  return arms.map(([i, j]) => `M${x + far * i} ${y + far * j}L${x + near * i} ${y + near * j}`).join("");
}
