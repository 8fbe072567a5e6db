/**
 * The two renditions of one clip as one picture: `watch` is light and plays at full speed,
 * `study` holds every frame and is for slow playing and stepping. One lies in front; the other
 * takes its place when it shows the wanted frame, so that nothing flickers.
 *
 * Sends "frame" (detail: the index of the frame now shown), "state" (playing, paused, ended) and
 * "trouble" (the video can't be loaded).
 */
export class Renditions extends EventTarget {
  /** @type {import("./frames.js").Frames | null} */
  frames = null;
  /** The frame that is on the screen. */
  shown = 0;
  /** The frame on whose way a seek is; -1: none. */
  #wanted = -1;
  #sought = -1;
  #seeking = false;
  /** @type {Promise<void> | null} */
  #changing = null;
  /** @type {Map<HTMLVideoElement, number>} seconds of the frame each of them shows */
  #times = new Map();

  /** @param {HTMLVideoElement} watch @param {HTMLVideoElement} study @param {string} studyUrl */
  constructor(watch, study, studyUrl) {
    super();
    this.watch = watch;
    this.study = study;
    this.studyUrl = studyUrl;
    this.front = watch;
    for (const video of [watch, study]) {
      video.addEventListener("seeked", () => this.#arrived(video));
      for (const name of ["play", "pause", "ended"]) {
        video.addEventListener(name, () => video === this.front && this.#tell("state"));
      }
      video.addEventListener("error", () => this.#tell("trouble"));
      this.#follow(video);
    }
  }

  get playing() {
    return !this.front.paused && !this.front.ended;
  }

  /** The frame that is shown, or that a seek is on its way to. */
  get index() {
    return this.#wanted >= 0 ? this.#wanted : this.shown;
  }

  /** Begin to load the study rendition. */
  warm() {
    if (this.study.src) return;
    this.study.preload = "auto";
    this.study.src = this.studyUrl;
  }

  /** Show a frame; of many wishes during one seek only the latest is kept. @param {number} index */
  goTo(index) {
    if (!this.frames) return;
    this.#wanted = this.frames.clamp(index);
    if (!this.#seeking && !this.#changing) this.#seek();
  }

  /** Step by frames; only the study rendition has them all. @param {number} count */
  async step(count) {
    if (!this.frames) return;
    this.pause();
    this.goTo(this.index + count);
    await this.#bringForward(this.study);
  }

  /** @param {number} rate 1 is full speed */
  async play(rate) {
    if (this.frames && this.index >= this.frames.count - 1) this.goTo(0);
    await this.#bringForward(rate < 1 ? this.study : this.watch);
    this.front.playbackRate = rate;
    await this.front.play().catch((error) => {
      if (error.name !== "AbortError") this.#tell("trouble");
    });
  }

  pause() {
    this.front.pause();
  }

  /** @param {HTMLVideoElement} video */
  async #bringForward(video) {
    while (this.#changing) await this.#changing;
    if (video === this.front) return;
    this.#changing = this.#change(video).catch(() => this.#tell("trouble"));
    await this.#changing;
    this.#changing = null;
    this.#seeking = false;
    if (this.#wanted === this.#sought) this.#wanted = -1;
    if (this.#wanted >= 0) this.#seek();
    else this.#show(this.#times.get(video) ?? video.currentTime);
  }

  /** @param {HTMLVideoElement} video */
  async #change(video) {
    this.front.pause();
    if (video === this.study) this.warm();
    if (video.readyState < 1) await heard(video, "loadedmetadata");
    if (this.frames) {
      this.#sought = this.index;
      const there = heard(video, "seeked");
      video.currentTime = this.frames.middle(this.#sought) / 1e6;
      await there;
    }
    delete this.front.dataset.front;
    video.dataset.front = "";
    this.front = video;
  }

  #seek() {
    if (!this.frames) return;
    this.#seeking = true;
    this.#sought = this.#wanted;
    this.front.currentTime = this.frames.middle(this.#wanted) / 1e6;
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
    if (!tellsFrames(video)) this.#show(video.currentTime);
  }

  /** Hear of every frame that reaches the screen. @param {HTMLVideoElement} video */
  #follow(video) {
    const show = (/** @type {number} */ seconds) => {
      this.#times.set(video, seconds);
      if (video === this.front) this.#show(seconds);
    };
    if (!tellsFrames(video)) {
      video.addEventListener("timeupdate", () => show(video.currentTime));
      return;
    }
    /** @type {VideoFrameRequestCallback} */
    const frame = (_, { mediaTime }) => {
      show(mediaTime);
      video.requestVideoFrameCallback(frame);
    };
    video.requestVideoFrameCallback(frame);
  }

  /** @param {number} seconds the frame's own time, as the browser has it */
  #show(seconds) {
    if (!this.frames) return;
    this.shown = this.frames.nearest(seconds * 1e6);
    this.dispatchEvent(new CustomEvent("frame", { detail: this.shown }));
  }

  /** @param {string} what */
  #tell(what) {
    this.dispatchEvent(new Event(what));
  }
}

/** @param {HTMLVideoElement} video */
function tellsFrames(video) {
  return "requestVideoFrameCallback" in video;
}

/** @param {HTMLVideoElement} video @param {string} name */
function heard(video, name) {
  return new Promise((resolve, reject) => {
    video.addEventListener(name, resolve, { once: true });
    video.addEventListener("error", reject, { once: true });
  });
}
