const QUIET = 0.05; // of full scale
const SHAPE = 0.75; // under 1: what is quiet is seen beside a strike

/**
 * How loud the sound of a clip is, drawn along a lane. The file is media_tools' peaks: one number
 * for each step of time, from 0 to full_scale.
 */
export class Wave {
  /** @param {{step_us: number, full_scale: number, peaks: number[]}} peaks */
  constructor(peaks) {
    this.stepUs = peaks.step_us;
    this.peaks = peaks.peaks;
    /** Drawn as high as the lane is: the loudest there is, but a hiss stays low. */
    this.full = peaks.peaks.reduce((most, peak) => Math.max(most, peak), peaks.full_scale * QUIET);
  }

  /** @param {string} url */
  static async load(url) {
    const answer = await fetch(url, { credentials: "same-origin" });
    if (!answer.ok) throw new Error(`no peaks: ${answer.status}`);
    return new Wave(await answer.json());
  }

  /** Draw a part of it in the canvas' own text colour. @param {HTMLCanvasElement} canvas @param {number} fromUs @param {number} toUs */
  draw(canvas, fromUs, toUs) {
    const ratio = window.devicePixelRatio || 1;
    canvas.width = Math.round(canvas.clientWidth * ratio);
    canvas.height = Math.round(canvas.clientHeight * ratio);
    const brush = canvas.getContext("2d");
    if (!brush || !canvas.width || toUs <= fromUs) return;
    brush.fillStyle = getComputedStyle(canvas).color;
    const bar = Math.max(1, Math.round(ratio));
    for (let x = 0; x < canvas.width; x += bar) {
      const begin = fromUs + ((toUs - fromUs) * x) / canvas.width;
      const end = fromUs + ((toUs - fromUs) * (x + bar)) / canvas.width;
      const height = (this.#loudest(begin, end) / this.full) ** SHAPE * canvas.height;
      brush.fillRect(x, (canvas.height - height) / 2, bar, Math.max(height, 1));
    }
  }

  /** @param {number} beginUs @param {number} endUs */
  #loudest(beginUs, endUs) {
    const last = Math.max(Math.floor(beginUs / this.stepUs), Math.ceil(endUs / this.stepUs) - 1);
    let loudest = 0;
    for (let k = Math.floor(beginUs / this.stepUs); k <= last; k += 1) loudest = Math.max(loudest, this.peaks[k] ?? 0);
    return loudest;
  }
}
