/**
 * The renditions of one clip as one picture: `watch` is light and plays at full speed; each cut
 * holds every frame of its part and is for slow playing and stepping. One lies in front; the
 * other takes its place when it shows the wanted frame, so that nothing flickers.
 *
 * Sends "frame" (detail: the index of the frame now shown), "state" (playing, paused, ended) and
 * "trouble" (the video can't be loaded).
 */
import { cutAt } from "./cuts.js";
import { SETTLES_MS, heard, inRange, tellsFrames } from "./videos.js";

export class Renditions extends EventTarget {
  /** @type {import("./frames.js").Frames | null} */
  frames = null;
  /** @type {import("./cuts.js").Cut[]} that are ready */
  cuts = [];
  /** The frame that is on the screen. */
  shown = 0;
  /** How many times slower than life the clip is stored. */
  slowdown = 1;
  /** The frame on whose way a seek is; -1: none. */
  #wanted = -1;
  #sought = -1;
  #seeking = false;
  #rate = 1;
  #goesOn = false;
  #moved = false;
  #settling = 0;
  /** @type {Promise<void> | null} */
  #changing = null;
  /** @type {import("./cuts.js").Cut | null} the one that `study` holds */
  #cut = null;
  /** @type {Map<HTMLVideoElement, number>} seconds of the frame each of them shows */
  #times = new Map();

  /** @param {HTMLVideoElement} watch @param {HTMLVideoElement} study */
  constructor(watch, study) {
    super();
    this.watch = watch;
    this.study = study;
    this.front = watch;
    for (const video of [watch, study]) {
      video.addEventListener("seeked", () => this.#arrived(video));
      for (const name of ["play", "pause", "ended"]) {
        video.addEventListener(name, () => video === this.front && !this.#goesOn && this.#tell("state"));
      }
      video.addEventListener("error", () => this.#tell("trouble"));
      this.#follow(video);
    }
    study.addEventListener("ended", () => study === this.front && this.#atEndOfCut());
  }

  get playing() {
    return this.#goesOn || (!this.front.paused && !this.front.ended);
  }

  /** Whether the clip, not only a cut of it, has been played to its end. */
  get ended() {
    return this.front.ended && !this.#goesOn && this.shown >= (this.frames?.count ?? 0) - 2;
  }

  /** The frame that is shown, or that a seek is on its way to. */
  get index() {
    return this.#wanted >= 0 ? this.#wanted : this.shown;
  }

  /** Begin to load the part that is likely to be stepped through. */
  warm() {
    const cut = this.#cutOf(this.index) ?? this.cuts[0];
    if (cut && !this.#cut) this.#load(cut);
  }

  /** Show a frame; of many wishes during one seek only the latest is kept. @param {number} index */
  goTo(index) {
    if (!this.frames) return;
    this.#moved = true;
    this.#wanted = this.frames.clamp(index);
    if (!this.#seeking && !this.#changing) this.#seek();
    clearTimeout(this.#settling);
    this.#settling = setTimeout(() => this.settle(), SETTLES_MS);
  }

  /** Standing still inside a cut, show its frame: `watch` may have left that one out. */
  settle() {
    if (this.#moved && !this.playing && this.#cutOf(this.index)) void this.#bringForward(this.study);
  }

  /** Step by frames; outside of a cut by those that `watch` has. @param {number} count */
  async step(count) {
    if (!this.frames) return;
    this.pause();
    const next = this.frames.clamp(this.index + count);
    const every = this.#cutOf(next);
    this.goTo(every ? next : this.frames.coarse(this.index, count));
    if (every) await this.#bringForward(this.study);
  }

  /** @param {number} rate 1 is as fast as in life */
  async play(rate) {
    if (this.frames && this.index >= this.frames.count - 1) this.goTo(0);
    this.#rate = rate;
    await this.#bringForward(rate < 1 && this.#cutOf(this.index) ? this.study : this.watch);
    this.front.playbackRate = inRange(rate * this.slowdown);
    await this.front.play().catch((error) => {
      if (error.name !== "AbortError") this.#tell("trouble");
    });
  }

  pause() {
    this.#goesOn = false;
    this.front.pause();
  }

  /** @param {number} index */
  #cutOf(index) {
    return this.frames ? cutAt(this.cuts, this.frames.begins(index)) : null;
  }

  /** @param {import("./cuts.js").Cut} cut */
  #load(cut) {
    this.#cut = cut;
    this.#times.delete(this.study);
    this.study.preload = "auto";
    this.study.src = cut.url;
  }

  #atEndOfCut() {
    if (!this.#cut || !this.frames || this.ended) return;
    this.#wanted = this.frames.clamp(this.shown + 1);
    void this.#carryOn(this.watch);
  }

  /** Go on playing in the other rendition. @param {HTMLVideoElement} video */
  async #carryOn(video) {
    this.#goesOn = true;
    await this.#bringForward(video);
    if (!this.#goesOn) return; // paused meanwhile
    this.front.playbackRate = inRange(this.#rate * this.slowdown);
    await this.front.play().catch(() => undefined);
    this.#goesOn = false;
    this.#tell("state");
  }

  /** @param {HTMLVideoElement} video */
  async #bringForward(video) {
    while (this.#changing) await this.#changing;
    const cut = video === this.study ? this.#cutOf(this.index) : null;
    if (video === this.study && !cut) return;
    if (video === this.front && (!cut || cut.url === this.#cut?.url)) return;
    this.#changing = this.#change(video, cut).catch(() => this.#tell("trouble"));
    await this.#changing;
    this.#changing = null;
    this.#seeking = false;
    if (this.#wanted === this.#sought) this.#wanted = -1;
    if (this.#wanted >= 0) this.#seek();
    else this.#showTimeOf(video);
  }

  /** @param {HTMLVideoElement} video @param {import("./cuts.js").Cut | null} cut */
  async #change(video, cut) {
    this.front.pause();
    if (cut && cut.url !== this.#cut?.url) {
      if (this.front === this.study) await this.#swap(this.watch); // the picture stays meanwhile
      this.#load(cut);
    }
    await this.#swap(video);
  }

  /** @param {HTMLVideoElement} video */
  async #swap(video) {
    if (video.readyState < 1) await heard(video, "loadedmetadata");
    if (this.frames) {
      this.#sought = this.index;
      const there = heard(video, "seeked");
      video.currentTime = this.#seconds(video, this.#sought);
      await there;
    }
    delete this.front.dataset.front;
    video.dataset.front = "";
    this.front = video;
  }

  #seek() {
    if (!this.frames) return;
    if (this.front === this.study && this.#cutOf(this.#wanted)?.url !== this.#cut?.url) {
      void this.#bringForward(this.#cutOf(this.#wanted) ? this.study : this.watch);
      return;
    }
    this.#seeking = true;
    this.#sought = this.#wanted;
    this.front.currentTime = this.#seconds(this.front, this.#wanted);
  }

  /** @param {HTMLVideoElement} video */
  #arrived(video) {
    if (video !== this.front || !this.#seeking || this.#changing) return;
    this.#seeking = false;
    if (this.#wanted !== this.#sought) {
      this.#seek();
      return;
    }
    this.#wanted = -1;
    if (!tellsFrames(video)) this.#showTimeOf(video);
  }

  /** Hear of every frame that reaches the screen. @param {HTMLVideoElement} video */
  #follow(video) {
    const show = (/** @type {number} */ seconds) => {
      this.#times.set(video, seconds);
      if (video === this.front) this.#showTimeOf(video);
    };
    if (!tellsFrames(video)) {
      video.addEventListener("timeupdate", () => video === this.front && this.#showTimeOf(video));
      return;
    }
    /** @type {VideoFrameRequestCallback} */
    const frame = (_, { mediaTime }) => {
      show(mediaTime);
      video.requestVideoFrameCallback(frame);
    };
    video.requestVideoFrameCallback(frame);
  }

  /** Where to seek in a video for a frame. @param {HTMLVideoElement} video @param {number} index */
  #seconds(video, index) {
    return ((this.frames?.middle(index) ?? 0) - this.#offset(video)) / 1e6;
  }

  /** @param {HTMLVideoElement} video */
  #offset(video) {
    return video === this.study ? (this.#cut?.offsetUs ?? 0) : 0;
  }

  /** Say which frame a video shows: by the frame's own time, else by where the video stands. @param {HTMLVideoElement} video */
  #showTimeOf(video) {
    if (!this.frames) return;
    const own = this.#times.get(video);
    const us = (own ?? video.currentTime) * 1e6 + this.#offset(video);
    this.shown = own === undefined ? this.frames.at(us) : this.frames.nearest(us);
    this.dispatchEvent(new CustomEvent("frame", { detail: this.shown }));
    const slow = this.#rate < 1 && this.front === this.watch && !this.watch.paused;
    if (slow && !this.#goesOn && this.#cutOf(this.shown)) void this.#carryOn(this.study);
  }

  /** @param {string} what */
  #tell(what) {
    this.dispatchEvent(new Event(what));
  }
}
