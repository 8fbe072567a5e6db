/**
 * The renditions of one clip as one picture: `watch` is light and plays at full speed; `study`
 * holds one cut at a time, with every frame, for slow playing and stepping. One lies in front; the
 * other takes its place when it shows the wanted frame, so that nothing flickers. Sends "frame"
 * (detail: the index of the frame now shown), "state" (playing, paused, ended) and "trouble" (the
 * video can't be loaded).
 */
import { cutAt } from "./cuts.js";
import { MovingPicture } from "./moving-picture.js";

/** How long nobody moves along before the exact frame takes the place of the light picture. */
const SETTLES_MS = 150;

export class Renditions extends EventTarget {
  /** @type {import("./frames.js").Frames | null} */
  frames = null;
  /** @type {import("./cuts.js").Cut[]} that are ready */
  cuts = [];
  shown = 0; // the frame that is on the screen
  moved = false; // whether somebody has gone to a frame yet
  /** The frame on whose way a seek is; -1: none. */
  #wanted = -1;
  #at = 0; // where the last seek led, until the screen tells
  #sought = -1;
  #seeking = false;
  #rate = 1;
  #crossing = false; // goes on playing in the other rendition
  #settling = 0;
  /** @type {Promise<void> | null} */
  #changing = null;

  /** @param {HTMLVideoElement} watch @param {HTMLVideoElement} study @param {number} slowdown how many times slower than life the clip is stored */
  constructor(watch, study, slowdown) {
    super();
    this.slowdown = slowdown;
    this.watch = new MovingPicture(watch);
    this.study = new MovingPicture(study);
    this.front = this.watch;
    for (const picture of [this.watch, this.study]) {
      const { video } = picture;
      picture.addEventListener("shows", () => picture === this.front && this.#show());
      video.addEventListener("seeked", () => this.#arrived(picture));
      for (const name of ["play", "pause", "ended"]) {
        video.addEventListener(name, () => picture === this.front && !this.#crossing && this.#tell("state"));
      }
      picture.addEventListener("trouble", () => this.#tell("trouble"));
    }
    this.study.addEventListener("lost", () => this.front === this.study && void this.#bringForward(this.watch));
    study.addEventListener("ended", () => {
      if (this.front !== this.study || !this.frames || this.ended) return;
      this.#wanted = this.frames.clamp(this.shown + 1);
      void this.#cross(this.watch);
    });
  }

  get playing() {
    return this.#crossing || (!this.front.video.paused && !this.front.video.ended);
  }

  /** Whether the clip, not only a cut of it, has been played to its end. */
  get ended() {
    return this.front.video.ended && !this.#crossing && this.shown >= (this.frames?.count ?? 0) - 2;
  }

  /** The frame that is shown, or that a seek is on its way to. */
  get index() {
    return this.#wanted >= 0 ? this.#wanted : this.#at;
  }

  /** Begin to load the cut that is likely to be stepped through. */
  warm() {
    const cut = this.#cutOf(this.index) ?? this.cuts[0];
    if (cut && !this.study.cut) this.study.load(cut);
  }

  /** Show a frame; of many wishes during one seek only the latest is kept. @param {number} index */
  goTo(index) {
    if (!this.frames) return;
    this.moved = true;
    this.#wanted = this.frames.clamp(index);
    if (!this.#seeking && !this.#changing) this.#seek();
    clearTimeout(this.#settling);
    this.#settling = setTimeout(() => this.settle(), SETTLES_MS);
  }

  /** Standing still inside a cut, show its frame: `watch` may have left that one out. */
  settle() {
    if (this.moved && !this.playing && this.#cutOf(this.index)) void this.#bringForward(this.study);
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
    await this.#run();
  }

  pause() {
    this.#crossing = false;
    this.front.video.pause();
  }

  async #run() {
    await this.front.play(this.#rate * this.slowdown).catch(() => this.#tell("trouble"));
  }

  /** @param {number} index */
  #cutOf(index) {
    return this.frames ? cutAt(this.cuts, this.frames.begins(index)) : null;
  }

  /** Go on playing in the other rendition. @param {MovingPicture} picture */
  async #cross(picture) {
    this.#crossing = true;
    await this.#bringForward(picture);
    if (this.#crossing) await this.#run(); // not paused meanwhile
    this.#crossing = false;
    this.#tell("state");
  }

  /** @param {MovingPicture} picture */
  async #bringForward(picture) {
    while (this.#changing) await this.#changing;
    const cut = picture === this.study ? this.#cutOf(this.index) : null;
    if (picture === this.study && !cut) return;
    if (picture === this.front && (!cut || cut.url === this.study.cut?.url)) return;
    this.#changing = this.#change(picture, cut).catch(() => {}); // told by the picture itself
    await this.#changing;
    this.#changing = null;
    this.#seeking = false;
    if (this.#wanted >= 0 && this.#wanted !== this.#sought) return this.#seek();
    this.#wanted = -1;
    this.#show();
    this.#at = this.#sought;
  }

  /** @param {MovingPicture} picture @param {import("./cuts.js").Cut | null} cut */
  async #change(picture, cut) {
    this.front.video.pause();
    if (cut && cut.url !== this.study.cut?.url) {
      if (this.front === this.study) await this.#swap(this.watch); // it is seen meanwhile
      this.study.load(cut);
    }
    await this.#swap(picture);
  }

  /** @param {MovingPicture} picture */
  async #swap(picture) {
    await picture.arrive(() => {
      this.#sought = this.index;
      return this.frames?.middle(this.#sought) ?? 0;
    });
    delete this.front.video.dataset.front;
    picture.video.dataset.front = "";
    this.front = picture;
  }

  #seek() {
    if (!this.frames) return;
    const cut = this.#cutOf(this.#wanted);
    const elsewhere = this.front === this.study && cut?.url !== this.study.cut?.url;
    if (elsewhere) return void this.#bringForward(cut ? this.study : this.watch);
    this.#seeking = true;
    this.#sought = this.#wanted;
    this.front.seek(this.frames.middle(this.#wanted));
  }

  /** @param {MovingPicture} picture */
  #arrived(picture) {
    if (picture !== this.front || !this.#seeking || this.#changing) return;
    this.#seeking = false;
    if (this.#wanted !== this.#sought) return this.#seek();
    this.#wanted = -1;
    this.#at = this.#sought;
    if (!picture.tells) this.#show();
  }

  /** Say which frame is shown. */
  #show() {
    if (!this.frames) return;
    this.#at = this.shown = this.front.frame(this.frames);
    this.dispatchEvent(new CustomEvent("frame", { detail: this.shown }));
    const light = this.front === this.watch && this.playing && !this.#crossing;
    if (light && this.#rate < 1 && this.#cutOf(this.shown)) void this.#cross(this.study);
  }

  #tell = (/** @type {string} */ what) => this.dispatchEvent(new Event(what));
}
