/**
 * How a pairing is shown, every step of it kept so that it can be taken back, and saved as it
 * changes; two windows never overwrite one another. Settings are never changed in place. Events:
 * "change", "status" (detail: words), "conflict" (what another window has saved, in `theirs`).
 *
 * @typedef {{id: number, aligned_us: number | null, mirrored: boolean, points: [[number, number], [number, number]] | null, caption: string}} SideSettings
 * @typedef {{at: string, by_position: boolean, over: boolean, opacity_percent: number, zoom_percent: number, with_marks: boolean, sides: SideSettings[]}} Settings
 * @typedef {{version: number, settings: Settings}} Kept
 */
import { Left } from "./left.js";

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
  /** @type {Promise<void> | null} what is on its way */
  #flight = null;
  /** @type {Settings | null} what the site has */
  #kept;
  #left;
  /** @type {Kept | null} */
  theirs = null;

  /** @param {Kept} kept @param {string} url @param {string} csrf */
  constructor({ version, settings }, url, csrf) {
    super();
    this.now = settings;
    this.version = version;
    this.#kept = settings;
    this.#left = new Left(url);
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
    this.#flight ??= this.#sendAll().finally(() => (this.#flight = null));
    await this.#flight;
  }

  /** One after the other: each goes by the version that the one before has made. */
  async #sendAll() {
    while (!this.isKept && !this.theirs && (await this.#send(this.now)));
  }

  /** What an earlier visit could not save comes back; if another was faster since, ask. */
  takeUp() {
    const left = this.#left.read();
    if (!left || !isOfSameSwings(left.settings, this.now)) return;
    if (JSON.stringify(left.settings) === JSON.stringify(this.now)) return this.#left.forget();
    const kept = { version: this.version, settings: this.now };
    this.set(left.settings);
    if (left.version !== kept.version) this.#clash(kept);
  }

  /** Of two who have changed it, this one counts. */
  keepMine() {
    if (!this.theirs) return;
    this.version = this.theirs.version;
    this.theirs = null;
    this.#kept = null;
    this.#show(this.now);
  }

  /** Of two who have changed it, the other counts; undo brings this one's back. */
  takeTheirs() {
    if (!this.theirs) return;
    const { version, settings } = this.theirs;
    if (!isOfSameSwings(settings, this.now)) {
      this.#left.forget();
      return window.location.reload(); // a clip has gone or come back
    }
    this.version = version;
    this.theirs = null;
    this.#kept = settings;
    this.past = [...this.past, this.now].slice(-STEPS_KEPT);
    this.future = [];
    this.#lastKey = "";
    this.#show(settings);
  }

  /** @param {Settings} settings @returns {Promise<boolean>} whether the site has them */
  async #send(settings) {
    const answer = await fetch(this.url, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRFToken": this.csrf },
      body: JSON.stringify({ ...settings, version: this.version }),
      credentials: "same-origin",
      redirect: "manual", // to where one signs in
      keepalive: true, // also while the page is left
    }).catch(() => null);
    if (!answer || answer.status >= 500) return this.#again();
    const said = await answer.json().catch(() => ({}));
    if (answer.ok) return this.#done(settings, said.version);
    if (answer.status === 409) this.#clash(said);
    else if (said.detail) {
      this.#left.forget(); // it would be refused again
      this.#say(said.detail);
    } else if (answer.status) this.#say("This could not be saved. Reload the page.");
    else this.#say("You are signed out. Sign in again and reload; what you set is kept on this device.");
    return false;
  }

  /** @param {Settings} settings @param {number} version */
  #done(settings, version) {
    this.#kept = settings;
    this.version = version;
    this.#remember();
    if (this.isKept) this.#say("Saved");
    return true;
  }

  #again() {
    this.#say("Not saved yet: no connection. It is tried again.");
    this.#waits = setTimeout(() => void this.keep(), AGAIN_MS);
    return false;
  }

  /** Another window has saved meanwhile: the person decides. @param {Kept} theirs */
  #clash(theirs) {
    this.theirs = theirs;
    this.#say("Also changed in another window.");
    this.dispatchEvent(new Event("conflict"));
  }

  stop() {
    window.removeEventListener("pagehide", this.#leaves);
    this.#leaves();
  }

  #leaves = () => void this.keep();

  #remember() {
    this.isKept ? this.#left.forget() : this.#left.keep(this.version, this.now);
  }

  /** @param {Settings} settings */
  #show(settings) {
    this.now = settings;
    this.#remember();
    this.#say(this.theirs ? "Also changed in another window." : "");
    this.dispatchEvent(new Event("change"));
    clearTimeout(this.#waits);
    this.#waits = setTimeout(() => void this.keep(), WAITS_MS);
  }

  /** @param {string} words */
  #say(words) {
    this.dispatchEvent(new CustomEvent("status", { detail: words }));
  }
}

/** Whether both are about the same swings, in whatever order. @param {...Settings} both */
function isOfSameSwings(...both) {
  const [one, other] = both.map(({ sides }) => String(sides.map((side) => side.id).sort()));
  return one === other;
}
