/** The part of a clip that is played over and over: from a frame to a frame, or the whole. */
export class Loop {
  on = false;
  /** @type {number | null} */
  from = null;
  /** @type {number | null} */
  to = null;

  /** Set what is named; an end that lies before the begin takes it off. @param {{on: boolean, from?: number | null, to?: number | null}} change */
  set(change) {
    Object.assign(this, change);
    if (this.from === null || this.to === null || this.to > this.from) return;
    if (change.to !== undefined) this.from = null;
    else this.to = null;
  }

  clear() {
    Object.assign(this, { on: false, from: null, to: null });
  }

  /** Begin and end in microseconds; nothing where the whole clip is meant. @param {import("./frames.js").Frames} frames @returns {[number, number] | [null, null]} */
  span(frames) {
    if (!this.on || (this.from === null && this.to === null)) return [null, null];
    return [frames.begins(this.from ?? 0), frames.begins(this.to ?? frames.count - 1)];
  }
}
