const COARSE_US = 1e6 / 60 - 500; // with room for rounded times

/**
 * When each frame of a clip is shown. Times are integer microseconds of the clip's clock.
 * A frame is shown from its own time until the next one's.
 */
export class Frames {
  /** @param {number[]} timesUs sorted @param {number} durationUs */
  constructor(timesUs, durationUs) {
    this.timesUs = timesUs;
    this.durationUs = durationUs;
  }

  /** @param {string} url @param {number} durationUs */
  static async load(url, durationUs) {
    const answer = await fetch(url, { credentials: "same-origin" });
    if (!answer.ok) throw new Error(`no frame times: ${answer.status}`);
    return new Frames(await answer.json(), durationUs);
  }

  get count() {
    return this.timesUs.length;
  }

  /** The frame shown at a time: the last that begins at or before it. @param {number} us */
  at(us) {
    let low = 0;
    let high = this.timesUs.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.timesUs[middle] <= us) low = middle;
      else high = middle - 1;
    }
    return low;
  }

  /** The frame whose own time is nearest: for times that a browser has rounded. @param {number} us */
  nearest(us) {
    const before = this.at(us);
    const after = Math.min(before + 1, this.count - 1);
    return this.timesUs[after] - us < us - this.timesUs[before] ? after : before;
  }

  /**
   * So many steps from a frame, each at least a sixtieth of a second: what the light picture has
   * of a clip with more frames than that.
   * @param {number} index @param {number} count
   */
  coarse(index, count) {
    let here = this.clamp(index);
    for (let k = 0; k < Math.abs(count); k += 1) {
      const next = this.timesUs[here] + Math.sign(count) * COARSE_US;
      here = count > 0 ? this.after(next) : this.at(next);
    }
    return here;
  }

  /** Whether a frame comes so soon after the one before or after it that it may be left out. @param {number} index */
  isDense(index) {
    return this.coarse(index, 1) > index + 1 || this.coarse(index, -1) < index - 1;
  }

  /** The first frame that begins at a time or later; else the last. @param {number} us */
  after(us) {
    const before = this.at(us);
    return this.timesUs[before] >= us ? before : this.clamp(before + 1);
  }

  /** @param {number} index */
  begins(index) {
    return this.timesUs[this.clamp(index)];
  }

  /**
   * Where to seek for a frame: the middle of its interval. On the border itself a browser's
   * rounding leads to the frame before, half of the time.
   * @param {number} index
   */
  middle(index) {
    const here = this.clamp(index);
    const begin = this.timesUs[here];
    const end = here + 1 < this.count ? this.timesUs[here + 1] : Math.max(this.durationUs, begin + 2);
    return (begin + end) / 2;
  }

  /** @param {number} index */
  clamp(index) {
    return Math.max(0, Math.min(this.count - 1, index));
  }
}
