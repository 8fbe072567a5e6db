/**
 * Which moment of each swing is shown at a moment of the clock they share.
 * The same as media_tools/beside/warp.py; one test runs both over one table.
 *
 * The clock counts microseconds in real time from where the swings are lined up.
 * @typedef {{alignedUs: number, positions: Record<string, number>, slowdown: number}} Placed
 *   one swing: times of its clip's clock, and how many times slower than life the clip is stored
 */

export class Warp {
  /** @param {[number, number][]} knots pairs of clock and clip, both rising @param {number} slope outside of them */
  constructor(knots, slope) {
    this.knots = knots;
    this.slope = slope;
  }

  /** The clip's time at a moment of the clock. @param {number} clock */
  clipUs(clock) {
    return nearest(this.#along(clock, 0, 1));
  }

  /** The moment of the clock at which a time of the clip is reached. @param {number} clip */
  clockUs(clip) {
    return nearest(this.#along(clip, 1, 0));
  }

  /** Microseconds of the clip for one of the clock, at a moment of the clock. @param {number} clock */
  rate(clock) {
    const after = this.knots.findIndex((knot) => knot[0] > clock);
    if (after <= 0) return this.slope;
    const [before, behind] = [this.knots[after - 1], this.knots[after]];
    return (behind[1] - before[1]) / (behind[0] - before[0]);
  }

  /** @param {number} value @param {0 | 1} given @param {0 | 1} wanted */
  #along(value, given, wanted) {
    const found = this.knots.findIndex((knot) => knot[given] > value);
    const after = found < 0 ? this.knots.length : found;
    const before = this.knots[Math.max(0, after - 1)];
    let rise = given === 0 ? this.slope : 1 / this.slope;
    if (after > 0 && after < this.knots.length) {
      const behind = this.knots[after];
      rise = (behind[wanted] - before[wanted]) / (behind[given] - before[given]);
    }
    return before[wanted] + (value - before[given]) * rise;
  }
}

/**
 * The warp of each swing; the clock is 0 where they are lined up. By position, time is stretched
 * so that each position that all have falls on one moment, which is the first swing's real time.
 * @param {Placed[]} swings @param {string} at @param {boolean} byPosition
 */
export function warps(swings, at, byPosition) {
  if (!byPosition || !swings.length) return swings.map((one) => new Warp([[0, one.alignedUs]], one.slowdown));
  const rows = common(swings, at);
  const [first] = swings;
  const clocks = rows.map((row) => nearest((row[0] - first.alignedUs) / first.slowdown));
  return swings.map((one, place) => new Warp(rows.map((row, k) => [clocks[k], row[place]]), one.slowdown));
}

/** For each position that all have, in order, its time in each swing. @param {Placed[]} swings @param {string} at */
function common(swings, at) {
  const aligned = swings.map((one) => one.alignedUs);
  const least = Math.max(1, swings[0].slowdown);
  const follows = (/** @type {number[]} */ row, /** @type {number[]} */ before) =>
    row.every((us, k) => us > before[k]) && row[0] - before[0] >= least;
  const shared = Object.keys(swings[0].positions).filter((name) => name !== at && swings.every((one) => name in one.positions));
  const rows = shared.map((name) => swings.map((one) => one.positions[name])).sort(inOrder);
  /** @type {number[][]} */
  const found = [];
  for (const row of [...rows.filter((row) => follows(aligned, row)), aligned, ...rows.filter((row) => follows(row, aligned))]) {
    if (!found.length || follows(row, found[found.length - 1])) found.push(row);
  }
  return found;
}

/** @param {number[]} a @param {number[]} b */
function inOrder(a, b) {
  const differs = a.findIndex((us, k) => us !== b[k]);
  return differs < 0 ? 0 : a[differs] - b[differs];
}

/** Halves upward, and no minus zero. @param {number} value */
function nearest(value) {
  return Math.floor(value + 0.5) || 0;
}
