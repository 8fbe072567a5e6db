/**
 * <path-viewer>: a cut's frames to step through, the trace of a followed patch over them, and a
 * box to draw round a patch or to set a path right. See templates/paths/_viewer.html.
 *
 * @typedef {import("./box.js").Box} Box
 */
import { Frames } from "../clips/frames.js";
import { MovingPicture } from "../clips/moving-picture.js";
import { BoxDrawing } from "./box.js";
import { Hand } from "./hand.js";
import { pressed } from "./keys.js";
import { boxAt, readPlaces } from "./places.js";
import { zoom } from "./zoom.js";

const SECONDS = new Intl.NumberFormat("en", { minimumFractionDigits: 3, maximumFractionDigits: 3, signDisplay: "negative" });

export class PathViewer extends HTMLElement {
  /** Frames of the clip that the path spans: indices into the clip's table. */
  first = 0;
  last = 0;
  index = 0; // shown
  /** @type {number | null} to be sought once the last search is done */
  #next = null;
  isChanged = false;

  async connectedCallback() {
    if (this.drawing) return;
    const data = /** @type {Record<string, string>} */ (this.dataset);
    this.slowdown = Number(data.slowdown) || 1;
    this.slider = /** @type {HTMLInputElement} */ (this.querySelector(".path-slider"));
    this.video = /** @type {HTMLVideoElement} */ (this.querySelector("video"));
    this.svg = /** @type {SVGSVGElement} */ (/** @type {unknown} */ (this.querySelector(".path-drawing")));
    this.drawing = new BoxDrawing(this.svg);
    this.places = data.places ? readPlaces(JSON.parse(data.places)) : null;
    this.size = data.box ? data.box.split(" ").map(Number) : null;
    this.picture = new MovingPicture(this.video);
    this.#listen();
    try {
      this.frames = await Frames.load(data.times, Number(data.durationUs));
    } catch {
      this.#trouble();
      return;
    }
    this.first = this.frames.after(Math.max(Number(data.beginUs), Number(data.cutBeginUs)));
    this.last = this.frames.at(Math.min(Number(data.endUs), Number(data.cutEndUs)));
    this.slider.max = String(this.last - this.first);
    this.picture.load({
      beginUs: Number(data.cutBeginUs),
      endUs: Number(data.cutEndUs),
      offsetUs: Number(data.offsetUs),
      url: data.url,
      state: "ready",
      percent: 100,
      reason: "",
      again: false,
    });
    this.index = this.frames.at(Number(data.timeUs));
    new Hand(this, this.svg);
    if (this.video.readyState >= 1) this.go(this.index);
    this.#show();
  }

  #listen() {
    const { picture, video, slider } = this;
    if (!picture || !video || !slider) return;
    video.addEventListener("loadedmetadata", () => this.go(this.index));
    video.addEventListener("error", () => this.#trouble());
    video.addEventListener("seeked", () => {
      const next = this.#next;
      this.#next = null;
      if (next !== null) this.go(next);
      else this.toggleAttribute("data-ready", true);
    });
    slider.addEventListener("input", () => this.go(this.first + Number(slider.value)));
    this.addEventListener("click", (event) => {
      const button = /** @type {HTMLElement} */ (event.target).closest("button");
      if (button?.dataset.do) this.do(button.dataset.do);
      if (button?.dataset.go) this.go(this.frames?.at(Number(button.dataset.go)) ?? 0);
    });
    this.addEventListener("keydown", (event) => pressed(this, event) && event.preventDefault());
  }

  /** @param {string} what */
  do(what) {
    if (what === "back") this.go(this.index - 1);
    if (what === "forth") this.go(this.index + 1);
    if (what === "closer") zoom(this);
    if (what === "leave") {
      this.isChanged = false;
      this.#show();
    }
  }

  /** Show a frame; while one is being sought, the latest wish waits. @param {number} index */
  go(index) {
    if (!this.frames || !this.video || !this.picture) return;
    const wanted = Math.max(this.first, Math.min(this.last, index));
    if (wanted !== this.index) this.isChanged = this.isChanged && !this.places;
    this.index = wanted;
    this.#show();
    if (this.video.readyState < 1) return;
    if (this.video.seeking) this.#next = wanted;
    else this.picture.seek(this.frames.middle(wanted));
  }

  /** The person has drawn, moved or sized the box. @param {Box} box */
  changed(box) {
    this.isChanged = true;
    this.drawing?.put(box);
    this.#fields();
  }

  get timeUs() {
    return this.frames?.begins(this.index) ?? 0;
  }

  /** Where a box stands that nobody has drawn yet: on the path, or in the middle. @returns {Box} */
  get usual() {
    const [width, height] = [Number(this.video?.getAttribute("width")), Number(this.video?.getAttribute("height"))];
    const side = Math.round(Math.min(width, height) * 0.12);
    const [wide, tall] = this.size ?? [side, side];
    return { x: width / 2, y: height / 2, width: wide, height: tall };
  }

  #show() {
    const { frames, drawing, slider, places } = this;
    if (!frames || !drawing || !slider) return;
    slider.value = String(this.index - this.first);
    const seconds = (this.timeUs - Number(this.dataset.originUs)) / 1e6 / (this.slowdown ?? 1);
    const words = this.#when(seconds);
    slider.setAttribute("aria-valuetext", words);
    this.#text("[data-shown]", words);
    if (places && !this.isChanged) {
      const found = boxAt(places, this.timeUs, this.size ?? [0, 0]);
      drawing.put(found, false);
      this.#text("[data-state]", found ? (found.isSure ? "" : "Unsure here.") : "Not found here. Drag a box round it to set it right.");
    }
    this.#fields();
  }

  /** @param {number} seconds */
  #when(seconds) {
    const { origin } = this.dataset;
    if (!origin) return `${SECONDS.format(seconds)} s`;
    return seconds < 0 ? `${SECONDS.format(-seconds)} s before ${origin}` : `${SECONDS.format(seconds)} s after ${origin}`;
  }

  /** What the forms send. */
  #fields() {
    const box = this.drawing?.box;
    const sent = { time_us: this.timeUs, ...box };
    for (const field of this.querySelectorAll("[data-field]")) {
      const name = /** @type {HTMLElement} */ (field).dataset.field ?? "";
      const value = /** @type {Record<string, number | undefined>} */ (sent)[name];
      /** @type {HTMLInputElement} */ (field).value = value === undefined || (!box && name !== "time_us") ? "" : String(Math.round(value * 100) / 100);
    }
    const correct = this.querySelector("[data-correct]");
    if (correct instanceof HTMLElement) correct.hidden = !this.isChanged;
    if (this.isChanged && this.places) this.#text("[data-state]", "Moved by you.");
  }

  /** @param {string} selector @param {string} words */
  #text(selector, words) {
    const place = this.querySelector(selector);
    if (place && place.textContent !== words) place.textContent = words;
  }

  #trouble() {
    const notice = /** @type {HTMLElement} */ (this.querySelector("[data-trouble]"));
    notice.textContent = "The frames can't be loaded. Check your connection and reload the page.";
    notice.hidden = false;
  }
}

customElements.define("path-viewer", PathViewer);
