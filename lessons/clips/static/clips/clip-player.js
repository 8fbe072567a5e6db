/**
 * `<clip-player>`: plays a clip, slow and frame by frame, says which frame is shown, and shows
 * its swings. The markup is templates/clips/_player.html; forms with `data-time` get the shown
 * frame's time.
 */
import { listenForAnswers } from "./answers.js";
import { missing, readCuts, sayMissing } from "./cuts.js";
import { keepFocus } from "./focus.js";
import { Frames } from "./frames.js";
import { listenForKeys } from "./keys.js";
import { Loop } from "./loop.js";
import { Renditions } from "./renditions.js";
import { nextSpeed, speedOf } from "./speeds.js";
import { Strip } from "./strip.js";
import { Swings } from "./swings.js";
import { listenForSwipes } from "./swipe.js";
import { Turns } from "./turns.js";
import { timeWords } from "./words.js";

export class ClipPlayer extends HTMLElement {
  #loop = new Loop();
  /** Cuts that could not be loaded, by address. */
  #gone = new Set();

  async connectedCallback() {
    const { times, strip, stripCount, peaks } = this.dataset;
    const durationUs = Number(this.dataset.durationUs);
    this.slowdown = Number(this.dataset.slowdown) || 1;
    this.videos = new Renditions(this.#get("[data-video=watch]"), this.#get("[data-video=study]"), this.slowdown);
    this.strip = new Strip(this.#get("[data-strip]"), { url: strip ?? "", count: Number(stripCount), durationUs });
    this.swings = new Swings(this, { durationUs, slowdown: this.slowdown, peaks: peaks ?? "" });
    this.#listen();
    try {
      this.videos.frames = await Frames.load(times ?? "", durationUs);
    } catch {
      this.#trouble();
      return;
    }
    this.#refresh();
    if ("eager" in this.dataset) this.videos.warm();
    this.dataset.ready = "";
  }

  disconnectedCallback() {
    this.strip?.stop();
    this.swings?.stop();
    this.videos?.pause();
    this.watcher?.disconnect();
    this.keys?.abort();
  }

  #listen() {
    const { videos, strip, swings } = this;
    if (!videos || !strip || !swings) return;
    const on = (/** @type {EventTarget} */ from, /** @type {string} */ name, /** @type {(detail: any) => void} */ work) =>
      from.addEventListener(name, (event) => work(/** @type {CustomEvent} */ (event).detail));
    on(videos, "frame", (index) => this.#shown(index));
    on(videos, "state", () => this.#state());
    on(videos, "trouble", () => this.#trouble());
    on(videos.study, "lost", (cut) => this.#lost(cut));
    on(strip, "scrub", (us) => this.goToTime(us));
    on(swings, "go", (us) => this.goToTime(us));
    on(swings, "choose", (swing) => {
      this.#setLoop(null);
      this.goToTime(swing.begin);
    });
    this.addEventListener("click", (event) => {
      const button = /** @type {HTMLElement} */ (event.target).closest("[data-do]");
      if (button instanceof HTMLElement) this.do(button.dataset.do ?? "");
    });
    this.addEventListener("change", (event) => {
      if (/** @type {HTMLInputElement} */ (event.target).name === "speed") this.#speedChanged();
    });
    this.keys = listenForKeys(this);
    listenForAnswers(this, () => swings.handles.putBack());
    const turns = new Turns(this, swings.handles);
    on(swings.handles, "rest", () => turns.letGo());
    this.focusKept = keepFocus(this);
    let from = 0;
    listenForSwipes(this.#get("[data-picture]"), {
      tap: () => this.do("play"),
      step: (count) => void videos.step(count),
      begin: () => {
        videos.pause();
        from = videos.frames?.begins(videos.index) ?? 0;
      },
      move: (seconds) => this.goToTime(from + seconds * 1e6 * (this.slowdown ?? 1)),
    });
    this.watcher = new MutationObserver(() => this.#refresh());
    this.watcher.observe(this, { childList: true });
  }

  /** Show the frame of a time, paused. @param {number} us */
  goToTime(us, videos = this.videos) {
    if (!videos?.frames) return;
    videos.pause();
    videos.goTo(videos.frames.at(us));
  }

  /** @param {string} what what a key does, or a button's data-do */
  do(what) {
    const { videos, swings } = this;
    if (!videos || !swings) return;
    if (what === "play") videos.playing ? videos.pause() : void videos.play(speedOf(this));
    if (what === "back" || what === "forth") void videos.step(what === "forth" ? 1 : -1);
    if (what === "loop") this.#setLoop(this.#loop.on ? null : { on: true });
    if (what === "from" || what === "to") this.#setLoop({ on: true, [what]: videos.index });
    if (what === "previous" || what === "next") swings.move(what === "next" ? 1 : -1);
    if (what === "speed") nextSpeed(this);
    if (what === "over" && swings.chosen && videos.frames) {
      const [from, to] = [videos.frames.at(swings.chosen.begin), videos.frames.at(swings.chosen.finish)];
      this.#setLoop({ on: true, from, to });
      videos.goTo(from);
      void videos.play(speedOf(this));
    }
  }

  #speedChanged() {
    if (this.videos?.playing) void this.videos.play(speedOf(this));
    else if (speedOf(this) < 1) this.videos?.warm();
  }

  /** @param {{on: boolean, from?: number | null, to?: number | null} | null} change */
  #setLoop(change) {
    if (change) this.#loop.set(change);
    else this.#loop.clear();
    this.#get("[data-do=loop]").setAttribute("aria-pressed", String(this.#loop.on));
    this.toggleAttribute("data-looping", this.#loop.on);
    if (this.videos?.frames) this.strip?.showLoop(...this.#loop.span(this.videos.frames));
  }

  /** @param {number} index of the frame that is on the screen */
  #shown(index) {
    const frames = this.videos?.frames;
    if (!frames || !this.videos) return;
    const us = frames.begins(index);
    const words = timeWords(us / (this.slowdown ?? 1));
    this.#get("[data-shown]").textContent = words;
    this.strip?.show(us, `${words}, frame ${index + 1} of ${frames.count}`);
    this.swings?.show(us, frames.begins(this.videos.index));
    for (const time of this.querySelectorAll("[data-time]")) /** @type {HTMLInputElement} */ (time).value = String(us);
    this.#steppable();
    const { on, from, to } = this.#loop;
    if (on && to !== null && index >= to && this.videos.playing) this.videos.goTo(from ?? 0);
  }

  /** Say so where the shown moment has not every frame. */
  #steppable() {
    const { frames, shown, playing, moved } = this.videos ?? {};
    if (!frames || shown === undefined) return;
    sayMissing(this, playing || !moved ? null : missing(readCuts(this), frames.begins(shown), frames.isDense(shown)));
  }

  #state() {
    const { videos } = this;
    if (!videos) return;
    if (videos.ended && this.#loop.on) {
      videos.goTo(this.#loop.from ?? 0);
      void videos.play(speedOf(this));
      return;
    }
    this.toggleAttribute("data-playing", videos.playing);
    this.#get("[data-play-word]").textContent = videos.playing ? "Pause" : "Play";
    this.#steppable();
  }

  /** Take over what the page says of stills, swings and cuts. */
  #refresh() {
    const { videos, swings } = this;
    if (swings && videos?.frames) swings.handles.frames = videos.frames; // before they say their times
    this.strip?.showFlags(this);
    swings?.refresh();
    this.focusKept?.();
    if (!videos?.frames || !swings) return;
    videos.cuts = readCuts(this).filter((cut) => cut.state === "ready" && !this.#gone.has(cut.url));
    this.#shown(videos.shown);
    if (!videos.playing) videos.settle();
  }

  /** A bigger cut may have taken its place: ask the page. @param {import("./cuts.js").Cut} cut */
  #lost({ url }) {
    this.#gone.add(url);
    this.#refresh();
    document.body.dispatchEvent(new Event("swings-changed"));
  }

  #trouble() {
    const notice = this.#get("[data-trouble-video]");
    notice.textContent = "The video can't be loaded. Check your connection and reload the page.";
    notice.hidden = false;
  }

  /** @param {string} selector @returns {any} */
  #get(selector) {
    return this.querySelector(selector);
  }
}

customElements.define("clip-player", ClipPlayer);
