/**
 * How a pairing is shown, every step of it kept so that it can be taken back, and saved as it
 * changes. Settings are never changed in place. Events: "change", "status" (detail: words).
 *
 * @typedef {{id: number, aligned_us: number | null, mirrored: boolean, points: [[number, number], [number, number]] | null, caption: string}} SideSettings
 * @typedef {{at: string, by_position: boolean, over: boolean, opacity_percent: number, zoom_percent: number, with_marks: boolean, sides: SideSettings[]}} Settings
 */

const WAITS_MS = 500;
const AGAIN_MS = 5000;
const STEPS_KEPT = 200;

export class PairingSettings extends EventTarget {
  /** @type {Settings[]} */
  past = [];
  /** @type {Settings[]} */
  future = [];
  #lastKey = "";
  #waits = 0;
  /** @type {Promise<boolean> | null} a saving on its way */
  #flight = null;
  /** @type {Settings | null} what the site has */
  #kept;

  /** @param {Settings} now @param {string} url @param {string} csrf */
  constructor(now, url, csrf) {
    super();
    this.now = now;
    this.#kept = now;
    this.url = url;
    this.csrf = csrf;
    window.addEventListener("pagehide", this.#leaves);
  }

  /** Change some of it; steps with the same key in a row are one. @param {Partial<Settings>} change @param {string} key */
  set(change, key = "") {
    if (!key || key !== this.#lastKey) this.past = [...this.past, this.now].slice(-STEPS_KEPT);
    this.#lastKey = key;
    this.future = [];
    this.#show({ ...this.now, ...change });
  }

  /** @param {number} id @param {Partial<SideSettings>} change @param {string} key */
  setSide(id, change, key = "") {
    this.set({ sides: this.now.sides.map((side) => (side.id === id ? { ...side, ...change } : side)) }, key);
  }

  undo() {
    const last = this.past.pop();
    if (!last) return;
    this.future.push(this.now);
    this.#lastKey = "";
    this.#show(last);
  }

  redo() {
    const next = this.future.pop();
    if (!next) return;
    this.past.push(this.now);
    this.#lastKey = "";
    this.#show(next);
  }

  /** Whether all of it is kept by the site. */
  get isKept() {
    return this.now === this.#kept;
  }

  /** Send what is not kept yet, at once; resolves when there is nothing left that can be sent. */
  async keep() {
    clearTimeout(this.#waits);
    await this.#flight;
    while (!this.isKept) {
      this.#flight = this.#send(this.now);
      const isDone = await this.#flight;
      this.#flight = null;
      if (!isDone) return;
    }
  }

  /** @param {Settings} settings @returns {Promise<boolean>} whether the site has them */
  async #send(settings) {
    const answer = await fetch(this.url, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRFToken": this.csrf },
      body: JSON.stringify(settings),
      credentials: "same-origin",
      keepalive: true, // also while the page is left
    }).catch(() => null);
    if (answer?.ok) {
      this.#kept = settings;
      if (this.isKept) this.#say("Saved");
      return true;
    }
    if (answer && answer.status < 500) {
      const said = await answer.json().catch(() => ({}));
      this.#say(said.detail ?? "This could not be saved. Reload the page.");
      return false;
    }
    this.#say("Not saved yet: no connection. It is tried again.");
    this.#waits = setTimeout(() => void this.keep(), AGAIN_MS);
    return false;
  }

  stop() {
    window.removeEventListener("pagehide", this.#leaves);
    void this.keep();
    clearTimeout(this.#waits);
  }

  #leaves = () => void this.keep();

  /** @param {Settings} settings */
  #show(settings) {
    this.now = settings;
    this.#say("");
    this.dispatchEvent(new Event("change"));
    clearTimeout(this.#waits);
    this.#waits = setTimeout(() => void this.keep(), WAITS_MS);
  }

  /** @param {string} words */
  #say(words) {
    this.dispatchEvent(new CustomEvent("status", { detail: words }));
  }
}
