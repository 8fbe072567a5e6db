/**
 * <path-viewer>: a cut's frames to step through, the trace of a followed patch over them, and a
 * box to draw round a patch or to set a path right. See templates/paths/_viewer.html.
 *
 * @typedef {import("./box.js").Box} Box
 */
import { Frames } from "../clips/frames.js";
import { MovingPicture } from "../clips/moving-picture.js";
import { BoxDrawing } from "./box.js";
import { refused, write } from "./drawn.js";
import { Hand } from "./hand.js";
import { pressed } from "./keys.js";
import { boxAt, readPlaces, when } from "./places.js";
import { zoom } from "./zoom.js";

export class PathViewer extends HTMLElement {
  /** Frames of the clip that the path spans: indices into the clip's table. */
  first = 0;
  last = 0;
  index = 0; // shown
  /** @type {number | null} to be sought once the last search is done */
  #next = null;
  isChanged = false; // the shown box was drawn or moved by hand
  /** By frame, what was drawn on a path that is set right. @type {Map<number, Box>} */
  drawn = new Map();

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
    this.#bringBack();
    new Hand(this, this.svg);
    if (this.video.readyState >= 1) this.go(this.index);
    this.#show();
  }

  /** What was sent and refused is drawn again, and what was said of it comes into view. */
  #bringBack() {
    for (const { time_us, ...box } of refused(this)) {
      this.isChanged = true;
      this.drawing?.put(box);
      if (this.places && this.frames) this.drawn.set(this.frames.at(time_us), box);
    }
    if (this.places) this.isChanged = this.drawn.has(this.index);
    const wrong = this.querySelector("[aria-invalid=true]");
    if (wrong instanceof HTMLElement) wrong.focus();
    this.querySelector("[data-refusal]")?.scrollIntoView({ block: "nearest" });
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
    if (what === "lost") this.#toLost();
    if (what === "leave") {
      this.drawn.delete(this.index);
      this.isChanged = false;
      this.#show();
    }
  }

  /** To the next frame at which another box would help; after the last, to the first again. */
  #toLost() {
    const stops = (this.dataset.lost ?? "").split(" ").map((time) => this.frames?.at(Number(time)) ?? 0);
    const free = stops.filter((stop) => !this.drawn.has(stop));
    this.go(free.find((stop) => stop > this.index) ?? free[0] ?? this.index);
  }

  /** Show a frame; while one is being sought, the latest wish waits. @param {number} index */
  go(index) {
    if (!this.frames || !this.video || !this.picture) return;
    const wanted = Math.max(this.first, Math.min(this.last, index));
    this.index = wanted;
    if (this.places) this.isChanged = this.drawn.has(wanted);
    this.#show();
    if (this.video.readyState < 1) return;
    if (this.video.seeking) this.#next = wanted;
    else this.picture.seek(this.frames.middle(wanted));
  }

  /** The person has drawn, moved or sized the box. @param {Box} box */
  changed(box) {
    this.isChanged = true;
    this.drawing?.put(box);
    if (this.places) this.drawn.set(this.index, box);
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
    const words = when(seconds, this.dataset.origin);
    slider.setAttribute("aria-valuetext", words);
    this.#text("[data-shown]", words);
    const mine = this.drawn.get(this.index);
    if (places && mine) drawing.put(mine);
    else if (places) {
      const found = boxAt(places, this.timeUs, this.size ?? [0, 0]);
      drawing.put(found, false);
      this.#text("[data-state]", found ? (found.isSure ? "" : "Unsure here.") : "Not found here. Drag a box round it to set it right.");
    }
    this.#fields();
  }

  /** What the forms send: the shown box, or another that was drawn; with all others that were. */
  #fields() {
    const { frames, drawn } = this;
    if (!frames) return;
    const told = drawn.has(this.index) || !drawn.size ? this.index : Math.min(...drawn.keys());
    const more = [...drawn].filter(([index]) => index !== told).map(([index, box]) => ({ time_us: frames.begins(index) ?? 0, ...box }));
    write(this, frames.begins(told) ?? 0, drawn.get(told) ?? this.drawing?.box ?? null, more);
    const correct = this.querySelector("[data-correct]");
    if (!(correct instanceof HTMLElement)) return;
    correct.hidden = !drawn.size;
    const send = /** @type {HTMLElement} */ (correct.querySelector("[data-count]"));
    send.dataset.one ??= send.textContent ?? "";
    send.textContent = drawn.size > 1 ? (send.dataset.count ?? "").replace("{}", String(drawn.size)) : send.dataset.one;
    /** @type {HTMLElement} */ (correct.querySelector("[data-do=leave]")).hidden = !this.isChanged;
    if (this.isChanged) this.#text("[data-state]", "Moved by you.");
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
