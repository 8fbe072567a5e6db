/**
 * <visit-notes>: the coach's own notes for the next visit, saved as they are typed.
 *
 * Attributes: data-url (where a saving goes), data-visit (which draft on this device), and
 * data-version. Holds a textarea, a [data-status] place and a [data-choice] block.
 */
import { Drafts } from "../recaps/drafts.js";
import { newKey } from "../recaps/page-state.js";
import { Saver } from "../recaps/saver.js";

const WORDS = {
  saved: "Saved",
  saving: "Saving",
  offline: "No connection. Kept on this device, and sent when it is back.",
  failing: "The site does not answer. Kept on this device, and tried again.",
  "signed-out": "You are signed out. Sign in in another tab, then type on.",
  wrong: "This can't be kept as it is.",
  choice: "Changed on another page since you opened this one.",
};

class VisitNotes extends HTMLElement {
  connectedCallback() {
    const field = this.querySelector("textarea");
    if (!field || !this.dataset.url) return;
    this.field = field;
    this.theirs = "";
    const drafts = new Drafts(`visit-${this.dataset.visit}`);
    const page = newKey();
    this.saver = new Saver({
      url: this.dataset.url,
      version: Number(this.dataset.version),
      page,
      collect: () => ({ text: field.value }),
      drafts,
    });
    this.saver.addEventListener("state", () => this.#tell());
    this.saver.addEventListener("wrong", (event) => {
      const [error] = /** @type {CustomEvent} */ (event).detail.errors ?? [];
      if (error) this.#tell(error.message);
    });
    this.saver.addEventListener("choice", (event) => this.#ask(/** @type {CustomEvent} */ (event).detail));
    this.#takeUp(drafts, page);
    field.addEventListener("input", () => this.saver.changed());
    window.addEventListener("pagehide", () => this.saver.flush(true));
    this.querySelector("[data-keep]")?.addEventListener("click", () => this.#settle(false));
    this.querySelector("[data-take]")?.addEventListener("click", () => this.#settle(true));
  }

  /** What an earlier page could not send any more. @param {Drafts} drafts @param {string} page */
  #takeUp(drafts, page) {
    for (const draft of drafts.left(page)) {
      const text = /** @type {{text: string}} */ (draft.data).text;
      drafts.forget(draft.page);
      if (text === this.field.value) continue;
      // Written on what is still kept: it goes on. Else the coach chooses
      this.saver.version = draft.version;
      this.field.value = text;
      this.saver.changed();
    }
  }

  /** @param {{version: number, theirs: string}} answer */
  #ask({ version, theirs }) {
    this.theirs = theirs;
    this.theirVersion = version;
    const place = this.querySelector("[data-theirs]");
    if (place) place.textContent = theirs || "Nothing";
    this.querySelector("[data-choice]")?.removeAttribute("hidden");
  }

  /** @param {boolean} take */
  #settle(take) {
    this.querySelector("[data-choice]")?.setAttribute("hidden", "");
    if (take) this.field.value = this.theirs;
    this.saver.version = this.theirVersion;
    this.saver.state = "saving";
    this.saver.changed();
    this.field.focus();
  }

  #tell(words = WORDS[this.saver.state]) {
    const place = this.querySelector("[data-status]");
    if (place) place.textContent = words;
  }
}

customElements.define("visit-notes", VisitNotes);
