/**
 * Playing all swings of a pairing together. Each plays by itself at its own rate, which by
 * position changes from stretch to stretch; the first one's picture tells the time, and another
 * that has drifted from it is set right.
 */
const DRIFT_US = 45_000; // of the clock at full speed: about a frame and a half at 30 a second
const HEADROOM = [0.0625, 16]; // rates that browsers play at

export class Running {
  /** @param {import("./side.js").Side[]} sides @param {(clock: number) => void} told @param {() => void} ended */
  constructor(sides, told, ended) {
    this.sides = sides;
    this.told = told;
    this.ended = ended;
    this.on = false;
    this.speed = 1;
    this.end = 0;
    this.begin = 0;
    this.corrected = new Map();
  }

  /** @param {number} clock where it begins @param {number} begin of what is played @param {number} end @param {number} speed */
  async start(clock, begin, end, speed) {
    Object.assign(this, { on: true, speed, begin, end });
    const from = clock >= end - 1000 ? begin : clock;
    for (const side of this.sides) {
      side.show(from);
      side.videos.settle();
    }
    await Promise.all(this.sides.map((side) => arrived(side, from)));
    if (!this.on) return;
    await Promise.all(this.sides.map((side) => this.#run(side, from)));
    requestAnimationFrame(() => this.#tick());
  }

  stop() {
    if (!this.on) return;
    this.on = false;
    for (const side of this.sides) side.videos.front.video.pause();
  }

  /** Where the first swing is, on the clock. */
  get clock() {
    return this.#clockOf(this.sides[0]);
  }

  /** @param {import("./side.js").Side} side */
  #clockOf(side) {
    const { front } = side.videos;
    return side.warp?.clockUs(front.video.currentTime * 1e6 + (front.cut?.offsetUs ?? 0)) ?? 0;
  }

  /** @param {import("./side.js").Side} side @param {number} clock */
  async #run(side, clock) {
    const { video } = side.videos.front;
    video.playbackRate = this.#rate(side, clock);
    await video.play().catch((error) => {
      if (error.name !== "AbortError") throw error;
    });
  }

  /** @param {import("./side.js").Side} side @param {number} clock */
  #rate(side, clock) {
    const rate = this.speed * (side.warp?.rate(clock) ?? 1);
    return Math.max(HEADROOM[0], Math.min(HEADROOM[1], rate));
  }

  #tick() {
    if (!this.on) return;
    const clock = this.clock;
    this.told(clock);
    if (clock >= this.end || this.sides[0].videos.front.video.ended) {
      this.stop();
      this.ended();
      return;
    }
    for (const side of this.sides) this.#steer(side, clock);
    requestAnimationFrame(() => this.#tick());
  }

  /** @param {import("./side.js").Side} side @param {number} clock */
  #steer(side, clock) {
    const { front, watch, study } = side.videos;
    const back = front === watch ? study : watch;
    // The exact picture may take the light one's place only now
    if (!back.video.paused) back.video.pause();
    if (front.video.paused && !front.video.ended) void this.#run(side, clock);
    const rate = this.#rate(side, clock);
    if (front.video.playbackRate !== rate) front.video.playbackRate = rate;
    if (side === this.sides[0] || front.video.seeking || front.video.ended) return;
    const off = this.#clockOf(side) - clock;
    if (Math.abs(off) > DRIFT_US * Math.max(0.5, this.speed) && side.warp) front.seek(side.warp.clipUs(clock));
  }
}

/** Wait until a side shows the frame of a moment, exact if it can be, but not for ever. @param {import("./side.js").Side} side @param {number} clock */
async function arrived(side, clock) {
  const wanted = side.indexAt(clock);
  const started = performance.now();
  while ((side.shown !== wanted || !side.isExact(clock)) && performance.now() - started < 1500) {
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}
