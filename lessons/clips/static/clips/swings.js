/**
 * The swings of a clip: which one is chosen, where they lie along the whole clip, and the chosen
 * one from close by, with a handle for each of its positions. What is known of each comes from the
 * page (data-swing and data-place elements, templates/clips/_swing.html).
 *
 * Sends "go" (detail: microseconds to show) and "choose" (detail: the swing).
 */
import { Handles } from "./handles.js";
import { Wave } from "./wave.js";

/** What the close lane shows before and after a swing, in real time. */
const MARGIN_US = 300_000;
/** Shorter clips are seen whole in the close lane. */
const ALONE_US = 15_000_000;

/** @typedef {{pk: string, number: string, place: HTMLElement, begin: number, finish: number, kept: boolean, practice: boolean, places: import("./handle.js").Place[]}} Swing */

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
    this.handles = new Handles(this.close, clip.slowdown);
    this.handles.addEventListener("go", (event) => this.#tell("go", /** @type {CustomEvent} */ (event).detail));
    this.handles.addEventListener("set", (event) => {
      const { swing, position, us } = /** @type {CustomEvent} */ (event).detail;
      this.setPlace(position, us, swing);
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
    const told = this.player.querySelector("[data-choose]");
    const wanted = told?.getAttribute("data-choose") ?? this.chosen?.pk;
    told?.removeAttribute("data-choose"); // once
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

  /**
   * A position of a swing, the chosen one, is at a time: press its button. Without a swing the
   * frame is taken as a still. @param {string} position @param {number} us @param {string} [pk]
   */
  setPlace(position, us, pk = this.chosen?.pk) {
    const form = pk ? this.list.find((swing) => swing.pk === pk)?.place.querySelector("[data-places]") : this.player.querySelector("[data-take]");
    const button = form?.querySelector(`[value="${position}"]`);
    if (!(button instanceof HTMLButtonElement)) return;
    /** @type {HTMLInputElement} */ (form?.querySelector("[data-time]")).value = String(Math.round(us));
    button.click(); // htmx sends the name of a button that was clicked
  }

  /** Press another button of the chosen swing. @param {string} what its data-press */
  press(what) {
    const button = this.chosen?.place.querySelector(`[data-press="${what}"]`);
    if (button instanceof HTMLButtonElement) button.click();
  }

  /** Show the frame of a position. @param {string} position */
  visit(position) {
    const place = this.chosen?.places.find((one) => one.position === position);
    if (place) this.#tell("go", place.us);
  }

  /**
   * Where the shown frame is, and the one that is on its way: the swing that holds that is the
   * chosen one. @param {number} us @param {number} goalUs
   */
  show(us, goalUs) {
    const outside = (/** @type {Swing} */ { begin, finish }) => goalUs < begin || goalUs > finish;
    if (this.chosen && outside(this.chosen)) {
      const [from, to] = this.#window(this.chosen);
      const other = goalUs < from || goalUs > to ? this.list.find((swing) => !outside(swing)) : null;
      if (other) this.#choose(other);
    }
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
    this.player.toggleAttribute("data-has-swing", swing !== null);
    if (swing) this.handles.place(swing, ...this.#window(swing), this.player.querySelector("[data-places]") !== null);
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
  const { swing, number, beginUs, finishUs } = place.dataset;
  const places = [...place.querySelectorAll("[data-place]")].map((one) => {
    const { place: position, us, state, label } = /** @type {HTMLElement} */ (one).dataset;
    return { position: position ?? "", us: Number(us), state: state ?? "", label: label ?? "" };
  });
  return {
    pk: swing ?? "",
    number: number ?? "",
    place,
    begin: Number(beginUs),
    finish: Number(finishUs),
    kept: "kept" in place.dataset,
    practice: "practice" in place.dataset,
    places,
  };
}
