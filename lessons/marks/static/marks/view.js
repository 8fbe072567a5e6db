/**
 * Which part of the picture the drawing shows: zoom and place, as the SVG's viewBox.
 * Scale is screen pixels per picture pixel.
 * @typedef {import("./geometry.js").Point} Point
 */
import { between } from "./geometry.js";

const CLOSEST = 8; // times the whole picture's scale

export class View extends EventTarget {
  /** @param {SVGSVGElement} svg @param {number} width @param {number} height of the picture */
  constructor(svg, width, height) {
    super();
    this.svg = svg;
    this.width = width;
    this.height = height;
    this.zoom = 1;
    /** @type {Point} middle of what is shown, in picture pixels */
    this.centre = [width / 2, height / 2];
    this.watch = new ResizeObserver(() => this.apply());
    this.watch.observe(svg);
  }

  get fitScale() {
    return Math.min(this.svg.clientWidth / this.width, this.svg.clientHeight / this.height) || 1;
  }

  get scale() {
    return this.fitScale * this.zoom;
  }

  /** Where on the picture a place on the screen is. @returns {Point} */
  toPicture(/** @type {number} */ clientX, /** @type {number} */ clientY) {
    const box = this.svg.getBoundingClientRect();
    return [
      this.centre[0] + (clientX - box.left - box.width / 2) / this.scale,
      this.centre[1] + (clientY - box.top - box.height / 2) / this.scale,
    ];
  }

  /** Zoom so that the same spot stays under the finger. @param {number} zoom @param {number} clientX @param {number} clientY */
  zoomTo(zoom, clientX, clientY) {
    const spot = this.toPicture(clientX, clientY);
    this.zoom = between(zoom, 1, CLOSEST);
    const now = this.toPicture(clientX, clientY);
    this.centre = [this.centre[0] + spot[0] - now[0], this.centre[1] + spot[1] - now[1]];
    this.apply();
  }

  /** Zoom about the middle. @param {number} factor */
  zoomBy(factor) {
    const box = this.svg.getBoundingClientRect();
    this.zoomTo(this.zoom * factor, box.left + box.width / 2, box.top + box.height / 2);
  }

  /** Move the picture by screen pixels. @param {number} dx @param {number} dy */
  panBy(dx, dy) {
    this.centre = [this.centre[0] - dx / this.scale, this.centre[1] - dy / this.scale];
    this.apply();
  }

  fit() {
    this.zoom = 1;
    this.apply();
  }

  apply() {
    const { clientWidth, clientHeight } = this.svg;
    if (!clientWidth || !clientHeight) return;
    const [w, h] = [clientWidth / this.scale, clientHeight / this.scale];
    this.centre = [held(this.centre[0], w, this.width), held(this.centre[1], h, this.height)];
    this.svg.setAttribute("viewBox", `${this.centre[0] - w / 2} ${this.centre[1] - h / 2} ${w} ${h}`);
    this.dispatchEvent(new Event("change"));
  }
}

/** The middle, held so that the picture stays in sight. @param {number} middle @param {number} shown @param {number} whole */
function held(middle, shown, whole) {
  return shown >= whole ? whole / 2 : between(middle, shown / 2, whole - shown / 2);
}
