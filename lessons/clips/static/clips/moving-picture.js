/**
 * A video element that holds a whole clip or one cut of it, in times of the clip's clock
 * (microseconds). Sends "shows" when another frame has reached the screen, "lost" (detail: the cut)
 * when the cut that it holds can't be loaded, "trouble" when the whole clip can't.
 */
/** What browsers play at. */
const [SLOWEST, FASTEST] = [0.0625, 16];

export class MovingPicture extends EventTarget {
  /** @type {import("./cuts.js").Cut | null} the cut that it holds; null: the whole clip, or nothing yet */
  cut = null;
  /** @type {number | null} seconds at which the shown frame begins, where the browser tells that */
  #begins = null;

  /** @param {HTMLVideoElement} video */
  constructor(video) {
    super();
    this.video = video;
    video.addEventListener("error", () => {
      const { cut } = this;
      this.cut = null;
      this.dispatchEvent(cut ? new CustomEvent("lost", { detail: cut }) : new Event("trouble"));
    });
    if (!this.tells) {
      video.addEventListener("timeupdate", () => this.#shows());
      return;
    }
    /** @type {VideoFrameRequestCallback} */
    const frame = (_, { mediaTime }) => {
      this.#begins = mediaTime;
      this.#shows();
      video.requestVideoFrameCallback(frame);
    };
    video.requestVideoFrameCallback(frame);
  }

  /** Hold a cut from now on. @param {import("./cuts.js").Cut} cut */
  load(cut) {
    this.cut = cut;
    this.#begins = null;
    this.video.preload = "auto";
    this.video.src = cut.url;
  }

  /** @param {number} us */
  seek(us) {
    this.#begins = null; // until its frame is there
    this.video.currentTime = (us - (this.cut?.offsetUs ?? 0)) / 1e6;
  }

  /** Seek, and wait until it is there. @param {() => number} us asked once the video can seek */
  async arrive(us) {
    if (this.video.readyState < 1) await this.#heard("loadedmetadata");
    const there = this.#heard("seeked");
    this.seek(us());
    await there;
  }

  /** @param {number} rate */
  async play(rate) {
    this.video.playbackRate = Math.max(SLOWEST, Math.min(FASTEST, rate));
    await this.video.play().catch((error) => {
      if (error.name !== "AbortError") throw error; // it was paused before it began
    });
  }

  /** Which frame it shows. @param {import("./frames.js").Frames} frames */
  frame(frames) {
    const offset = this.cut?.offsetUs ?? 0;
    if (this.#begins === null) return frames.at(this.video.currentTime * 1e6 + offset);
    return frames.nearest(this.#begins * 1e6 + offset); // the browser has rounded it
  }

  /** Whether the browser tells of each frame that reaches the screen. */
  get tells() {
    return "requestVideoFrameCallback" in this.video;
  }

  #shows() {
    this.dispatchEvent(new Event("shows"));
  }

  /** @param {string} name */
  #heard(name) {
    return new Promise((resolve, reject) => {
      this.video.addEventListener(name, resolve, { once: true });
      this.video.addEventListener("error", reject, { once: true });
    });
  }
}
