/**
 * `<clip-player>`: plays a clip, slow and frame by frame, and says which frame is shown. The
 * markup is templates/clips/_player.html; forms with `data-take` get the shown frame's time.
 */
import { Frames } from "./frames.js";
import { meaningOf } from "./keys.js";
import { Renditions } from "./renditions.js";
import { Strip } from "./strip.js";
import { listenForSwipes } from "./swipe.js";

class ClipPlayer extends HTMLElement {
  /** @type {{on: boolean, from: number | null, to: number | null}} frames of the looped part */
  #loop = { on: false, from: null, to: null };

  async connectedCallback() {
    const { times, study, strip, stripCount, stripColumns, durationUs } = this.dataset;
    this.videos = new Renditions(this.#get("[data-video=watch]"), this.#get("[data-video=study]"), study ?? "");
    this.strip = new Strip(this.#get("[data-strip]"), {
      url: strip ?? "",
      count: Number(stripCount),
      columns: Number(stripColumns) || Number(stripCount),
      durationUs: Number(durationUs),
    });
    this.#listen();
    this.#flags();
    try {
      this.videos.frames = await Frames.load(times ?? "", Number(durationUs));
    } catch {
      this.#trouble();
      return;
    }
    if ("eager" in this.dataset) this.videos.warm();
    this.#shown(this.videos.shown);
    this.dataset.ready = "";
  }

  disconnectedCallback() {
    this.strip?.stop();
    this.videos?.pause();
    this.watcher?.disconnect();
  }

  #listen() {
    const { videos, strip } = this;
    if (!videos || !strip) return;
    videos.addEventListener("frame", (event) => this.#shown(/** @type {CustomEvent} */ (event).detail));
    videos.addEventListener("state", () => this.#state());
    videos.addEventListener("trouble", () => this.#trouble());
    strip.addEventListener("scrub", (event) => this.goToTime(/** @type {CustomEvent} */ (event).detail));
    this.addEventListener("click", (event) => {
      const button = /** @type {HTMLElement} */ (event.target).closest("[data-do]");
      if (button instanceof HTMLElement) this.do(button.dataset.do ?? "");
    });
    this.addEventListener("change", (event) => {
      if (/** @type {HTMLInputElement} */ (event.target).name === "speed") this.#speedChanged();
    });
    this.addEventListener("keydown", (event) => this.#key(event));
    this.addEventListener("htmx:afterRequest", (event) => {
      const { successful, elt } = /** @type {CustomEvent} */ (event).detail;
      if (successful && elt.matches(".take-caption")) elt.caption.value = "";
    });
    this.addEventListener("pointerdown", (event) => {
      // keys work once the player has been touched
      if (!/** @type {HTMLElement} */ (event.target).closest("input, button, a, summary, [data-film]")) this.focus({ preventScroll: true });
    });
    let from = 0;
    listenForSwipes(this.#get("[data-picture]"), {
      tap: () => this.do("play"),
      step: (count) => void videos.step(count),
      begin: () => {
        videos.pause();
        from = videos.frames?.begins(videos.index) ?? 0;
      },
      move: (seconds) => this.goToTime(from + seconds * 1e6),
    });
    this.watcher = new MutationObserver(() => this.#flags());
    this.watcher.observe(this, { childList: true });
  }

  get rate() {
    return Number(this.querySelector("input[name=speed]:checked")?.getAttribute("value") ?? 1);
  }

  /** Show the frame of a time, paused. @param {number} us */
  goToTime(us) {
    const { videos } = this;
    if (!videos?.frames) return;
    videos.pause();
    videos.goTo(videos.frames.at(us));
  }

  /** @param {string} what what a key does, or a button's data-do */
  do(what) {
    const { videos } = this;
    if (!videos) return;
    if (what === "play") videos.playing ? videos.pause() : void videos.play(this.rate);
    if (what === "back") void videos.step(-1);
    if (what === "forth") void videos.step(1);
    if (what === "loop") this.#setLoop(this.#loop.on ? { on: false, from: null, to: null } : { on: true });
    if (what === "from") this.#setLoop({ on: true, from: videos.index });
    if (what === "to") this.#setLoop({ on: true, to: videos.index });
    if (what === "speed") {
      const speeds = [...this.querySelectorAll("input[name=speed]")];
      const next = (speeds.findIndex((speed) => /** @type {HTMLInputElement} */ (speed).checked) + 1) % speeds.length;
      /** @type {HTMLInputElement} */ (speeds[next]).checked = true;
      this.#speedChanged();
    }
  }

  #speedChanged() {
    if (this.videos?.playing) void this.videos.play(this.rate);
    else if (this.rate < 1) this.videos?.warm();
  }

  /** @param {{on: boolean, from?: number | null, to?: number | null}} change */
  #setLoop(change) {
    const loop = { ...this.#loop, ...change };
    if (loop.from !== null && loop.to !== null && loop.to <= loop.from) {
      if ("to" in change) loop.from = null;
      else loop.to = null;
    }
    this.#loop = loop;
    this.#get("[data-do=loop]").setAttribute("aria-pressed", String(loop.on));
    this.toggleAttribute("data-looping", loop.on);
    const frames = this.videos?.frames;
    if (!frames) return;
    const part = loop.on && (loop.from !== null || loop.to !== null);
    this.strip?.showLoop(
      part ? frames.begins(loop.from ?? 0) : null,
      part ? frames.begins(loop.to ?? frames.count - 1) : null,
    );
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    const meant = meaningOf(event);
    if (!meant) return;
    if ("does" in meant) this.do(meant.does);
    if ("steps" in meant) void this.videos?.step(meant.steps);
    if ("goes" in meant) this.goToTime(meant.goes * Number(this.dataset.durationUs));
    if ("takes" in meant) {
      const still = this.querySelector(`[data-take] button[value="${meant.takes}"]`);
      if (!(still instanceof HTMLElement)) return;
      still.click();
    }
    event.preventDefault();
  }

  /** @param {number} index of the frame that is on the screen */
  #shown(index) {
    const frames = this.videos?.frames;
    if (!frames || !this.videos) return;
    const us = frames.begins(index);
    const words = `${Math.round(us / 1000)} ms`;
    this.#get("[data-shown]").textContent = words;
    this.strip?.show(us, `${words}, frame ${index + 1} of ${frames.count}`);
    for (const time of this.querySelectorAll("[data-time]")) /** @type {HTMLInputElement} */ (time).value = String(us);
    const { on, from, to } = this.#loop;
    if (on && to !== null && index >= to && this.videos.playing) this.videos.goTo(from ?? 0);
  }

  #state() {
    const { videos } = this;
    if (!videos) return;
    if (videos.front.ended && this.#loop.on) {
      videos.goTo(this.#loop.from ?? 0);
      void videos.play(this.rate);
      return;
    }
    this.toggleAttribute("data-playing", videos.playing);
    this.#get("[data-play-word]").textContent = videos.playing ? "Pause" : "Play";
  }

  #flags() {
    const stills = [...this.querySelectorAll("[data-still]")].map((still) => ({
      us: Number(still.getAttribute("data-time-us")),
      position: still.getAttribute("data-position") ?? "",
      caption: still.getAttribute("data-caption") ?? "",
    }));
    this.strip?.showFlags(stills.sort((a, b) => a.position.length - b.position.length));
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
