/**
 * The swings of a clip: which one is chosen, where they lie along the whole clip, and the chosen
 * one from close by, with a handle for its begin, top, strike and finish. What is known of each
 * comes from the page (data-swing elements, templates/clips/_swing.html).
 *
 * Sends "go" (detail: microseconds to show) and "choose" (detail: the swing).
 */
import { Handles } from "./handles.js";
import { Wave } from "./wave.js";

const MARGIN_US = 700_000;
/** Shorter clips are seen whole in the close lane. */
const ALONE_US = 15_000_000;

/** @typedef {{pk: string, number: string, place: HTMLElement, begin: number, top: number | null, strike: number | null, finish: number, kept: boolean, practice: boolean}} Swing */

export class Swings extends EventTarget {
  /** @type {Swing[]} */
  list = [];
  /** @type {Swing | null} */
  chosen = null;
  /** @type {Wave | null} */
  #wave = null;

  /** @param {HTMLElement} player @param {{durationUs: number, slowdown: number, peaks: string}} clip */
  constructor(player, clip) {
    super();
    this.player = player;
    this.clip = clip;
    this.whole = /** @type {HTMLElement} */ (player.querySelector("[data-whole]"));
    this.close = /** @type {HTMLElement} */ (player.querySelector("[data-close]"));
    this.handles = new Handles(this.close);
    this.handles.addEventListener("go", (event) => this.#tell("go", /** @type {CustomEvent} */ (event).detail));
    this.handles.addEventListener("set", (event) => {
      const { point, us } = /** @type {CustomEvent} */ (event).detail;
      this.set(point, us);
    });
    this.watcher = new ResizeObserver(() => this.#draw());
    this.watcher.observe(this.whole);
    this.watcher.observe(this.close);
    if (clip.peaks) void this.#hear(clip.peaks);
    this.refresh();
  }

  /** Read the page anew; the chosen swing stays chosen. */
  refresh() {
    this.list = [...this.player.querySelectorAll("[data-swing]")].map((place) => readSwing(/** @type {HTMLElement} */ (place)));
    const wanted = this.player.querySelector("[data-choose]")?.getAttribute("data-choose") ?? this.chosen?.pk;
    this.#choose(this.list.find((swing) => swing.pk === wanted) ?? this.list.find((swing) => swing.kept) ?? this.list[0] ?? null);
  }

  /** The swing before or after the chosen one. @param {number} by */
  move(by) {
    const here = this.list.findIndex((swing) => swing === this.chosen);
    const next = this.list[here + by];
    if (!next) return;
    this.#choose(next);
    this.#tell("choose", next);
  }

  /** A point of the chosen swing is at a time: press its button. @param {string} point @param {number} us */
  set(point, us) {
    const button = this.chosen?.place.querySelector(`[data-points] [value=${point}]`);
    if (!(button instanceof HTMLButtonElement) || !button.form) return;
    /** @type {HTMLInputElement} */ (button.form.querySelector("[data-time]")).value = String(Math.round(us));
    button.click(); // htmx sends the name of a button that was clicked
  }

  /** Where the shown frame is, in the close lane. @param {number} us */
  show(us) {
    this.handles.show(us);
  }

  stop() {
    this.watcher.disconnect();
  }

  /** @param {Swing | null} swing */
  #choose(swing) {
    this.chosen = swing;
    for (const { place } of this.list) place.hidden = place !== swing?.place;
    const number = this.player.querySelector("[data-swing-number]");
    if (number && swing) number.textContent = swing.number;
    for (const [name, at] of [["previous", 0], ["next", this.list.length - 1]]) {
      const button = this.player.querySelector(`[data-do=${name}]`);
      button?.setAttribute("aria-disabled", String(this.list[Number(at)] === swing));
    }
    this.whole.hidden = this.list.length < 2 && this.clip.durationUs < ALONE_US;
    this.close.hidden = !swing;
    if (swing) this.handles.place(swing, ...this.#window(swing), this.player.querySelector("[data-points]") !== null);
    this.#blocks();
    this.#draw();
  }

  /** What the close lane spans. @param {Swing} swing @returns {[number, number]} */
  #window(swing) {
    const margin = MARGIN_US * this.clip.slowdown;
    return [Math.max(0, swing.begin - margin), Math.min(this.clip.durationUs, swing.finish + margin)];
  }

  /** A block for each swing along the whole clip. */
  #blocks() {
    const canvas = /** @type {HTMLElement} */ (this.whole.querySelector("[data-wave]"));
    const share = (/** @type {number} */ us) => `${(100 * us) / Math.max(1, this.clip.durationUs)}%`;
    this.whole.replaceChildren(
      canvas,
      ...this.list.map((swing) => {
        const block = document.createElement("button");
        block.type = "button";
        block.className = "block";
        block.textContent = swing.number;
        block.title = `Swing ${swing.number}${swing.kept ? ", the one to keep" : ""}`;
        block.setAttribute("aria-label", block.title);
        block.setAttribute("aria-pressed", String(swing === this.chosen));
        block.classList.toggle("kept", swing.kept);
        block.classList.toggle("practice", swing.practice);
        block.style.insetInlineStart = share(swing.begin);
        block.style.inlineSize = share(swing.finish - swing.begin);
        block.addEventListener("click", () => {
          this.#choose(swing);
          this.#tell("choose", swing);
        });
        return block;
      }),
    );
  }

  /** @param {string} url */
  async #hear(url) {
    try {
      this.#wave = await Wave.load(url);
    } catch {
      return; // the lanes are as useful without
    }
    this.#draw();
  }

  #draw() {
    if (!this.#wave) return;
    this.#wave.draw(/** @type {HTMLCanvasElement} */ (this.whole.querySelector("[data-wave]")), 0, this.clip.durationUs);
    if (!this.chosen) return;
    this.#wave.draw(/** @type {HTMLCanvasElement} */ (this.close.querySelector("[data-wave]")), ...this.#window(this.chosen));
  }

  /** @param {string} what @param {unknown} detail */
  #tell(what, detail) {
    this.dispatchEvent(new CustomEvent(what, { detail }));
  }
}

/** @param {HTMLElement} place @returns {Swing} */
function readSwing(place) {
  const { swing, number, beginUs, topUs, strikeUs, finishUs } = place.dataset;
  return {
    pk: swing ?? "",
    number: number ?? "",
    place,
    begin: Number(beginUs),
    top: topUs ? Number(topUs) : null,
    strike: strikeUs ? Number(strikeUs) : null,
    finish: Number(finishUs),
    kept: "kept" in place.dataset,
    practice: "practice" in place.dataset,
  };
}
