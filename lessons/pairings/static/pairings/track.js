/** The line along which all swings are scrubbed together, with the first one's positions on it. */
import { timeWords } from "../clips/words.js";

export class Track {
  /** @param {HTMLElement} place @param {(clock: number) => void} goTo */
  constructor(place, goTo) {
    this.range = /** @type {HTMLInputElement} */ (place.querySelector("input[type=range]"));
    this.flags = /** @type {HTMLElement} */ (place.querySelector("[data-flags]"));
    this.goTo = goTo;
    this.begin = 0;
    this.end = 1;
    this.at = "";
    this.range.addEventListener("input", () => goTo(Number(this.range.value)));
  }

  /** @param {number} begin of the clock @param {number} end @param {Record<string, number>} clocks when each position is @param {string} at where all are lined up */
  measure(begin, end, clocks, at) {
    [this.begin, this.end, this.at] = [begin, end, at];
    Object.assign(this.range, { min: String(begin), max: String(end) });
    const names = Object.keys(clocks).filter((name) => clocks[name] >= begin && clocks[name] <= end);
    names.sort((a, b) => clocks[a] - clocks[b]);
    this.flags.replaceChildren(
      ...names.map((name) => {
        const flag = document.createElement("button");
        flag.type = "button";
        flag.className = "beside-flag";
        flag.textContent = name;
        flag.dataset.goes = name;
        flag.setAttribute("aria-label", `Go to ${name}`);
        flag.addEventListener("click", () => this.goTo(clocks[name]));
        return flag;
      }),
    );
    this.marks = names.map((name) => clocks[name]);
  }

  /** @param {number} clock */
  show(clock) {
    this.range.value = String(clock);
    this.range.setAttribute("aria-valuetext", clockWords(clock, this.at));
    for (const flag of this.flags.children) {
      const at = this.marks?.[[...this.flags.children].indexOf(flag)] ?? 0;
      flag.toggleAttribute("data-here", Math.abs(at - clock) < 2000);
    }
  }
}

/** A moment before or after all are lined up: '0.120 s before P7'. @param {number} clock @param {string} at the position where they are */
export function clockWords(clock, at) {
  if (Math.abs(clock) < 500) return `at ${at}`;
  return `${timeWords(Math.abs(clock))} ${clock < 0 ? "before" : "after"} ${at}`;
}
