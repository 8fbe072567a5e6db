/**
 * One swing of a pairing: its videos, where they lie in their cell, and the marks of the frame
 * that is shown. Sends "frame" when another frame has come to the screen.
 */
import { cutAt, readCuts } from "../clips/cuts.js";
import { Frames } from "../clips/frames.js";
import { Renditions } from "../clips/renditions.js";

const SETTLES_MS = 60;

export class Side extends EventTarget {
  /** @type {import("./warp.js").Warp | null} */
  warp = null;
  mirrored = false;

  /** @param {HTMLElement} cell @param {{positions: Record<string, number>, span_us: [number, number], slowdown: number, duration_us: number, width_px: number, height_px: number}} given */
  constructor(cell, given) {
    super();
    this.cell = cell;
    this.given = given;
    this.id = Number(cell.dataset.side);
    this.sheet = /** @type {HTMLElement} */ (cell.querySelector("[data-sheet]"));
    this.plate = /** @type {HTMLElement} */ (cell.querySelector("[data-rings]"));
    const [watch, study] = cell.querySelectorAll("video");
    this.videos = new Renditions(watch, study, given.slowdown);
    this.videos.addEventListener("frame", () => this.#shown());
    // Where two seeks lead to one frame, a browser may not tell of it again
    for (const video of [watch, study]) video.addEventListener("seeked", () => setTimeout(() => this.#shown(), SETTLES_MS));
    this.videos.addEventListener("trouble", () => this.dispatchEvent(new Event("trouble")));
  }

  async load() {
    this.videos.frames = await Frames.load(this.cell.dataset.times ?? "", this.given.duration_us);
  }

  /** The frame that is on the screen. */
  get shown() {
    const { frames, front } = this.videos;
    return frames ? front.frame(frames) : 0;
  }

  /** Take over which parts have every frame. @param {HTMLElement} page */
  refresh(page) {
    const place = /** @type {HTMLElement | null} */ (page.querySelector(`[data-cuts-of="${this.id}"]`));
    if (place) this.videos.cuts = readCuts(place).filter((cut) => cut.state === "ready");
    this.videos.settle();
  }

  /** Where it is lined up. @param {import("./settings.js").SideSettings} own @param {string} at */
  alignedUs(own, at) {
    const [begin, finish] = this.given.span_us;
    return own.aligned_us ?? this.given.positions[at] ?? Math.floor((begin + finish) / 2);
  }

  /** Show the frame of a moment of the clock. @param {number} clock */
  show(clock) {
    const { frames } = this.videos;
    if (frames && this.warp) this.videos.goTo(frames.at(this.warp.clipUs(clock)));
  }

  /** The index of the frame at a moment of the clock. @param {number} clock */
  indexAt(clock) {
    return this.videos.frames?.at(this.warp?.clipUs(clock) ?? 0) ?? 0;
  }

  /** Whether the picture with every frame is in front, as far as there is one here. @param {number} clock */
  isExact(clock) {
    const { cuts, front, study } = this.videos;
    return front === study || !cutAt(cuts, this.warp?.clipUs(clock) ?? 0);
  }

  /** How long a frame is shown, of the clock's time. @param {number} clock */
  frameLength(clock) {
    const { frames } = this.videos;
    if (!frames || !this.warp) return Infinity;
    const here = Math.min(this.indexAt(clock), frames.count - 2);
    return Math.abs((frames.begins(here + 1) - frames.begins(here)) / this.warp.rate(clock));
  }

  /** Lay the picture into its cell. @param {import("./windows.js").Window} window @param {number} share of the cell to the first picture */
  lay(window, share) {
    const { style } = this.sheet;
    style.inlineSize = `${this.given.width_px}px`;
    style.blockSize = `${this.given.height_px}px`;
    style.transform = `translate(${window.left * share}px, ${window.top * share}px) scale(${window.scale * share})`;
    this.sheet.toggleAttribute("data-mirrored", this.mirrored);
    // Rings are as large as a finger, however small the picture is
    Object.assign(this.plate.style, {
      translate: `${window.left * share}px ${window.top * share}px`,
      inlineSize: `${this.given.width_px * window.scale * share}px`,
      blockSize: `${this.given.height_px * window.scale * share}px`,
    });
    this.#shown();
  }

  #shown() {
    const { frames } = this.videos;
    if (!frames) return;
    const { shown } = this;
    for (const svg of this.sheet.querySelectorAll("svg[data-time-us]")) {
      const { timeUs, way } = /** @type {SVGElement} */ (svg).dataset;
      const here = frames.at(Number(timeUs)) === shown && way === (this.mirrored ? "mirrored" : "plain");
      svg.toggleAttribute("data-shown", here);
    }
    this.dispatchEvent(new Event("frame"));
  }
}
