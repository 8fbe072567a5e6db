/** The buttons and fields around a pairing: what they do, and what they say. */
import { timeWords } from "../clips/words.js";
import { START } from "./rings.js";
import { clockWords } from "./track.js";

export class Panel {
  /** @param {any} beside the <swings-beside> */
  constructor(beside) {
    this.beside = beside;
    /** Where all are lined up, as last shown. */
    this.at = "";
    beside.addEventListener("click", (/** @type {MouseEvent} */ event) => this.#clicked(/** @type {HTMLElement} */ (event.target)));
    for (const name of ["input", "change"]) {
      beside.addEventListener(name, (/** @type {Event} */ event) => this.#changed(/** @type {HTMLInputElement} */ (event.target)));
    }
    // What is saved must be what is shown
    beside.addEventListener("htmx:confirm", (/** @type {CustomEvent} */ event) => {
      if (!event.detail.elt.matches("[data-saves]") || beside.settings.isKept) return;
      event.preventDefault();
      void beside.settings.keep().then(() => {
        if (beside.settings.isKept) event.detail.issueRequest(true);
        else beside.get("[data-conflict]").scrollIntoView({ block: "nearest" });
      });
    });
    beside.addEventListener("htmx:configRequest", (/** @type {CustomEvent} */ { detail }) => {
      if (detail.elt.matches("[data-saves]")) detail.parameters.version = beside.settings.version;
    });
  }

  /** How fast it plays: 1 is as fast as in life. */
  get speed() {
    return Number(this.beside.get("[data-speeds] input:checked")?.value ?? 1);
  }

  /** @param {HTMLElement} target */
  #clicked(target) {
    const button = target.closest("button");
    if (!button?.dataset.do) return;
    const { do: does, of } = button.dataset;
    const id = Number(of);
    if (does === "mirror" && of) this.#mirror(id);
    else if (does === "earlier") this.#shift(id, -1);
    else if (does === "later") this.#shift(id, 1);
    else if (does === "found") this.beside.settings.setSide(id, { aligned_us: null });
    else if (does) this.act(does);
  }

  /** Do what a button or a key names. @param {string} what */
  act(what) {
    const { beside } = this;
    const { settings } = beside;
    if (what === "play") beside.play();
    if (what === "back" || what === "forth") beside.step(what === "forth" ? 1 : -1);
    if (what === "undo") settings.undo();
    if (what === "redo") settings.redo();
    if (what === "mirror") this.#mirror(beside.sides[beside.sides.length - 1].id);
    if (what === "mine" || what === "theirs") {
      beside.focus({ preventScroll: true }); // their buttons go
      what === "mine" ? settings.keepMine() : settings.takeTheirs();
    }
    if (what === "by") settings.set({ by_position: !settings.now.by_position });
    if (what === "over") settings.set({ over: !settings.now.over });
    if (what === "marks") settings.set({ with_marks: !settings.now.with_marks });
    if (what === "matched") this.#match(false);
    if (what === "rings") this.#match(!beside.matching);
    if (what === "unmatch") {
      beside.matching = false;
      settings.set({ zoom_percent: 100, sides: settings.now.sides.map((/** @type {any} */ side) => ({ ...side, points: null })) });
    }
    if (what === "swap") settings.set({ sides: [...settings.now.sides.slice(1), settings.now.sides[0]] });
  }

  /** @param {number} id */
  #mirror(id) {
    const own = this.beside.settings.now.sides.find((/** @type {any} */ side) => side.id === id);
    this.beside.settings.setSide(id, { mirrored: !own.mirrored });
  }

  /** Line one swing up a frame earlier or later than it is. @param {number} id @param {number} count */
  #shift(id, count) {
    const { beside } = this;
    const { now } = beside.settings;
    const side = beside.sides.find((/** @type {any} */ one) => one.id === id);
    const own = now.sides.find((/** @type {any} */ one) => one.id === id);
    const { frames } = side.videos;
    if (!frames) return;
    beside.clock = 0;
    const index = frames.clamp(frames.at(side.alignedUs(own, now.at)) + count);
    beside.settings.setSide(id, { aligned_us: frames.begins(index) }, `shift ${id}`);
  }

  /** Show the pictures whole, with rings to drag; once done, laid by what was matched. @param {boolean} on */
  #match(on) {
    const { beside } = this;
    const { now } = beside.settings;
    beside.matching = on;
    if (on) beside.stage.scrollIntoView({ block: "nearest" });
    // What is shown as rings is what counts, touched or not
    const sides = now.sides.map((/** @type {any} */ side) => ({ ...side, points: side.points ?? START }));
    if (on && now.sides.some((/** @type {any} */ side) => !side.points)) beside.settings.set({ sides }, "match");
    else beside.arrange();
  }

  /** @param {HTMLInputElement} field */
  #changed(field) {
    const { settings } = this.beside;
    const { sets, captionOf } = field.dataset;
    if (sets === "at" && field.value !== settings.now.at) {
      this.beside.clock = 0;
      settings.set({ at: field.value });
    }
    if (sets === "opacity_percent" || sets === "zoom_percent") settings.set({ [sets]: Number(field.value) }, sets);
    if (captionOf && settings.now.sides.some((/** @type {any} */ own) => own.id === Number(captionOf) && own.caption !== field.value)) {
      settings.setSide(Number(captionOf), { caption: field.value }, `caption ${captionOf}`);
    }
  }

  show() {
    const { beside } = this;
    const { now, past, future } = beside.settings;
    this.#pauseAt(now.at);
    const press = (/** @type {string} */ name, /** @type {boolean} */ on) => {
      for (const button of beside.querySelectorAll(`[data-do=${name}]:not([data-of])`)) button.setAttribute("aria-pressed", String(on));
    };
    press("by", now.by_position);
    press("over", now.over);
    press("marks", now.with_marks);
    press("rings", beside.matching);
    beside.get("[data-do=undo]").disabled = !past.length;
    beside.get("[data-do=redo]").disabled = !future.length;
    beside.get("[data-conflict]").hidden = !beside.settings.theirs;
    beside.get("[data-play-word]").textContent = beside.hasAttribute("data-playing") ? "Pause" : "Play";
    beside.get("[data-opacity]").hidden = !now.over;
    beside.get("[data-matched]").hidden = beside.matching || !now.sides.every((/** @type {any} */ side) => side.points);
    beside.get("[data-matching-help]").hidden = !beside.matching;
    this.#fill("[data-sets=at]", now.at);
    this.#fill("[data-sets=opacity_percent]", String(now.opacity_percent));
    this.#fill("[data-sets=zoom_percent]", String(now.zoom_percent));
    now.sides.forEach((/** @type {any} */ own, /** @type {number} */ k) => {
      const row = beside.get(`[data-row="${own.id}"]`);
      row.style.order = String(k);
      row.querySelector("[data-do=mirror]").setAttribute("aria-pressed", String(own.mirrored));
      row.querySelector("[data-do=found]").hidden = own.aligned_us === null;
      this.#fill(`[data-caption-of="${own.id}"]`, own.caption);
      const words = beside.get(`[data-side="${own.id}"] [data-caption]`);
      words.textContent = `${own.caption || words.dataset.caption}${own.mirrored ? ", mirrored" : ""}`;
    });
    this.showTimes();
  }

  /** A film that would stand still where all were lined up, and nowhere else, does so where they are now. @param {string} at */
  #pauseAt(at) {
    const was = this.at;
    this.at = at;
    const ticked = [...this.beside.querySelectorAll("[name=pauses]:checked")];
    if (!was || was === at || ticked.length !== 1 || ticked[0].value !== was) return;
    ticked[0].checked = false;
    const now = this.beside.get(`[name=pauses][value="${at}"]`);
    now.disabled = false; // all are lined up there, so it is known
    now.checked = true;
  }

  /** The time of the shared clock, and of each swing's own. */
  showTimes() {
    const { beside } = this;
    const clocks = Object.entries(beside.clocks ?? {});
    const here = clocks.find(([, clock]) => Math.abs(clock - beside.clock) < 500)?.[0];
    beside.get("[data-shown]").textContent = here ? `at ${here}` : clockWords(beside.clock, beside.settings.now.at);
    for (const side of beside.sides) {
      const { frames } = side.videos;
      const place = beside.get(`[data-row="${side.id}"] [data-own-time]`);
      if (!frames || !place) continue;
      const us = frames.begins(side.shown);
      place.textContent = timeWords(us / side.given.slowdown);
      beside.get(`[data-row="${side.id}"] [data-own-us]`).value = String(us);
      // Only what is surely this swing's own position is called so
      const known = here && frames.at(side.given.positions[here] ?? -1) === side.shown && here in side.given.positions;
      beside.get(`[data-row="${side.id}"] [data-here]`).value = known ? here : "";
    }
  }

  /** @param {string} selector @param {string} value */
  #fill(selector, value) {
    const field = this.beside.get(selector);
    if (field && field !== document.activeElement && field.value !== value) field.value = value;
  }
}
