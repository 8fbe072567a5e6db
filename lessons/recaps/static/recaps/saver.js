/**
 * Saves a page as it is typed: a moment after the last key, one saving at a time, again and again
 * while there is no connection. What is not yet saved lies in a draft on this device.
 *
 * @typedef {"saved" | "saving" | "offline" | "failing" | "signed-out" | "wrong" | "choice"} State
 * @typedef {{version: number, theirs: object, html: string}} Choice
 * @typedef {{row: string, message: string}[]} Errors
 */
const PAUSE_MS = 600;
const RETRY_MS = [2000, 4000, 8000, 15000, 30000];

/** The site's answer to one saving. @param {string} url @param {object} body @param {boolean} [last] */
export async function put(url, body, last = false) {
  const headers = JSON.parse(document.body.getAttribute("hx-headers") ?? "{}");
  // Signing in again, in another tab, gives a new token; the cookie knows it
  const token = /(?:^|; )carryover_csrf=([^;]+)/.exec(document.cookie);
  if (token) headers["X-CSRFToken"] = token[1];
  const text = JSON.stringify(body);
  try {
    const answer = await fetch(url, {
      method: "PUT",
      headers: { ...headers, "Content-Type": "application/json" },
      body: text,
      // Lets the saving outlive the page; browsers allow this for short texts only
      keepalive: last && text.length < 60000,
    });
    if (answer.redirected || answer.status === 403) return { state: "signed-out" };
    if (answer.status === 200) return { state: "saved", ...(await answer.json()) };
    if (answer.status === 409) return { state: "choice", ...(await answer.json()) };
    if (answer.status === 422) return { state: "wrong", ...(await answer.json()) };
    return { state: "failing" };
  } catch (error) {
    if (error instanceof TypeError) return { state: "offline" };
    throw error;
  }
}

export class Saver extends EventTarget {
  /**
   * @param {{url: string, version: number, page: string, collect: () => object, drafts: import("./drafts.js").Drafts}} parts
   */
  constructor({ url, version, page, collect, drafts }) {
    super();
    Object.assign(this, { url, version, page, collect, drafts });
    this.state = /** @type {State} */ ("saved");
    this.changes = 0;
    this.sent = 0;
    this.tries = 0;
    this.isKept = true; // whether the draft could be written to this device
    this.timer = 0;
    this.flying = /** @type {Promise<void> | null} */ (null);
  }

  get isSettled() {
    return this.sent === this.changes && this.flying === null;
  }

  /** Something was typed: keep it here now, send it in a moment. */
  changed() {
    this.changes += 1;
    this.isKept = this.drafts.keep({ page: this.page, version: this.version, data: this.collect() });
    if (this.state === "choice") return;
    this.#say("saving");
    this.#later(PAUSE_MS);
  }

  /** Send what is not yet sent, now. @param {boolean} [last] the page is being left */
  async flush(last = false) {
    clearTimeout(this.timer);
    if (this.flying) await this.flying;
    if (this.sent === this.changes || this.state === "choice") return;
    this.flying = this.#send(last);
    await this.flying;
  }

  /** @param {boolean} last */
  async #send(last) {
    const upTo = this.changes;
    const body = { ...this.collect(), version: this.version, page: this.page };
    const answer = await put(this.url, body, last);
    this.flying = null;
    if (answer.state === "saved") {
      this.version = answer.version;
      this.sent = upTo;
      this.tries = 0;
      if (this.sent === this.changes) {
        this.drafts.forget(this.page);
        this.#say("saved", answer);
      } else {
        this.#later(PAUSE_MS);
      }
      return;
    }
    this.#say(/** @type {State} */ (answer.state), answer);
    if (answer.state === "offline" || answer.state === "failing") {
      this.#later(RETRY_MS[Math.min(this.tries, RETRY_MS.length - 1)]);
      this.tries += 1;
    }
  }

  /** @param {number} ms */
  #later(ms) {
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => this.flush(), ms);
  }

  /** @param {State} state @param {object} [detail] */
  #say(state, detail = {}) {
    this.state = state;
    this.dispatchEvent(new CustomEvent(state, { detail }));
    this.dispatchEvent(new CustomEvent("state", { detail: state }));
  }
}
