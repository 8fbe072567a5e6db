/**
 * Keeps the marks: on this device at once, on the site a moment later, and says how it stands.
 * Two tabs never overwrite one another: the site refuses marks drawn on an older version.
 * Events: 'status' (words in `words`, 'saved' | 'waiting' | 'wrong' in `tone`),
 * 'conflict' (what the other saved in `theirs`).
 * @typedef {import("./shapes.js").Mark} Mark
 * @typedef {{version: number, marks: Mark[]}} Kept
 */

const PAUSE_MS = 600;
const TRIES_MS = [2000, 5000, 10000, 30000];

export class Saving extends EventTarget {
  /** @param {string} url @param {string} key of localStorage @param {string} csrf @param {number} version */
  constructor(url, key, csrf, version) {
    super();
    this.url = url;
    this.key = key;
    this.csrf = csrf;
    this.version = version;
    /** @type {Mark[] | null} not yet confirmed by the site */
    this.unsaved = null;
    /** @type {Kept | null} */
    this.theirs = null;
    this.timer = 0;
    this.failures = 0;
    this.sending = false;
    this.words = "";
    this.tone = "saved";
    this.retry = () => this.unsaved && this.send();
    this.leave = () => document.visibilityState === "hidden" && this.unsaved && this.send();
    addEventListener("online", this.retry);
    document.addEventListener("visibilitychange", this.leave);
  }

  /** Marks left on this device by a visit that could not save them. @returns {Kept | null} */
  left() {
    try {
      return JSON.parse(localStorage.getItem(this.key) ?? "null");
    } catch {
      return null; // the device keeps nothing, or something else under this name
    }
  }

  /** @param {Mark[]} marks */
  keep(marks) {
    this.unsaved = marks;
    this.#remember();
    if (this.theirs) return;
    this.#say("Saving", "waiting");
    this.#wait(PAUSE_MS);
  }

  async send() {
    if (this.sending || this.theirs || !this.unsaved) return;
    clearTimeout(this.timer);
    this.sending = true;
    const marks = this.unsaved;
    try {
      const body = JSON.stringify({ version: this.version, marks });
      const headers = { "Content-Type": "application/json", "X-CSRFToken": this.csrf };
      // A browser lets a page that is being left send 64 KiB, no more
      const keepalive = body.length < 60000;
      const answer = await fetch(this.url, { method: "PUT", headers, body, redirect: "manual", keepalive });
      await this.#answered(answer, marks);
    } catch {
      this.#again("No connection. Your marks are kept on this device and sent when it is back.");
    } finally {
      this.sending = false;
    }
    if (this.unsaved && this.unsaved !== marks) this.#wait(PAUSE_MS);
  }

  /** @param {Response} answer @param {Mark[]} marks */
  async #answered(answer, marks) {
    if (answer.ok) {
      this.version = (await answer.json()).version;
      this.failures = 0;
      if (this.unsaved === marks) this.#done();
      else this.#remember();
    } else if (answer.status === 409) {
      this.clash(await answer.json());
    } else if (answer.status === 422 || answer.status === 400 || answer.status === 413) {
      this.#say((await answer.json()).detail, "wrong");
    } else if (answer.status >= 500) {
      this.#again("The site could not save just now. Your marks are kept on this device.");
    } else {
      this.#say("You are signed out. Sign in again and reload; your marks are kept on this device.", "wrong");
    }
  }

  /** Somebody saved other marks meanwhile: the person decides. @param {Kept} theirs */
  clash(theirs) {
    this.theirs = theirs;
    this.#say("These marks were also changed in another window.", "wrong");
    this.dispatchEvent(new Event("conflict"));
  }

  /** @param {Mark[]} mine */
  keepMine(mine) {
    if (!this.theirs) return;
    this.version = this.theirs.version;
    this.theirs = null;
    this.unsaved = mine;
    this.#remember();
    this.#say("Saving", "waiting");
    void this.send();
  }

  /** @returns {Mark[]} what to show now */
  takeTheirs() {
    const { version, marks } = /** @type {Kept} */ (this.theirs);
    this.version = version;
    this.theirs = null;
    this.#done();
    return marks;
  }

  stop() {
    clearTimeout(this.timer);
    removeEventListener("online", this.retry);
    document.removeEventListener("visibilitychange", this.leave);
    if (this.unsaved) void this.send();
  }

  #done() {
    this.unsaved = null;
    try {
      localStorage.removeItem(this.key);
    } catch {
      // nothing was kept there
    }
    this.#say("Saved", "saved");
  }

  #remember() {
    try {
      localStorage.setItem(this.key, JSON.stringify({ version: this.version, marks: this.unsaved }));
    } catch {
      // A full or closed store: the site is then the only place, and the status says if it fails
    }
  }

  /** @param {string} words */
  #again(words) {
    this.#say(words, "wrong");
    this.#wait(TRIES_MS[Math.min(this.failures, TRIES_MS.length - 1)]);
    this.failures += 1;
  }

  /** @param {number} ms */
  #wait(ms) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.send(), ms);
  }

  /** @param {string} words @param {string} tone */
  #say(words, tone) {
    this.words = words;
    this.tone = tone;
    this.dispatchEvent(new Event("status"));
  }
}
