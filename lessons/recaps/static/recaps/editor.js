/**
 * `<recap-editor data-url data-recap data-version>`: the recap as it is written.
 * Everything typed is saved by itself; see saver.js for how, choice.js for two open pages.
 */
import { askForChoice, bringBackLeft, offerAside } from "./choice.js";
import { dragRows } from "./drag.js";
import { Drafts } from "./drafts.js";
import { collect, newKey } from "./page-state.js";
import { preview } from "./preview.js";
import * as rows from "./rows.js";
import { Saver } from "./saver.js";

const WORDS = {
  saved: "Saved",
  saving: "Saving",
  offline: "No connection: kept on this device",
  failing: "The site could not save it: kept on this device, trying again",
  "signed-out": "You are signed out: kept on this device. Sign in again and come back here",
  wrong: "Not saved: see below",
  choice: "Changed elsewhere: choose",
};

class RecapEditor extends HTMLElement {
  connectedCallback() {
    const { url = "", recap = "", version = "0" } = this.dataset;
    this.drafts = new Drafts(recap);
    this.saver = new Saver({
      url,
      version: Number(version),
      page: newKey(),
      collect: () => collect(this),
      drafts: this.drafts,
    });
    this.saver.addEventListener("state", () => this.#tell());
    this.saver.addEventListener("saved", () => this.#saved());
    this.saver.addEventListener("wrong", (event) => this.#wrong(/** @type {CustomEvent} */ (event).detail.errors));
    this.saver.addEventListener("choice", (event) => {
      const choice = /** @type {CustomEvent} */ (event).detail;
      askForChoice(this, choice, { page: this.saver.page, version: this.saver.version, data: collect(this) });
    });
    for (const name of ["input", "change", "click", "keydown", "submit"]) this.addEventListener(name, this);
    this.gone = new AbortController();
    const { signal } = this.gone;
    // Buttons on the stage put stills in the recap too
    document.addEventListener("click", (event) => this.#put(event), { signal });
    document.addEventListener("htmx:afterSettle", (event) => this.#settled(/** @type {CustomEvent} */ (event)), { signal });
    for (const name of ["online", "focus"]) {
      window.addEventListener(name, () => this.saver.flush(), { signal });
    }
    window.addEventListener("pagehide", () => this.saver.flush(true), { signal });
    dragRows(this, () => this.#changed());
    this.refreshPreview = preview(this, () => this.saver.flush());
    rows.showReadyStills(this);
    this.#count();
    offerAside(this);
    bringBackLeft(this);
  }

  disconnectedCallback() {
    this.gone?.abort();
    this.saver.flush(true);
  }

  /** @param {Event} event */
  handleEvent(event) {
    const target = /** @type {HTMLElement} */ (event.target);
    if (event instanceof KeyboardEvent) {
      const oneLine = target.matches("[data-one-line]") && event.key === "Enter";
      if (oneLine && !event.isComposing) event.preventDefault();
    } else if (event.type === "click") {
      this.#click(target);
    } else if (event.type === "submit") {
      this.#submit(/** @type {SubmitEvent} */ (event));
    } else if (target.matches("[name]") && !target.closest("form")) {
      this.#changed();
    }
  }

  /** @param {HTMLElement} target */
  #click(target) {
    const button = target.closest("button");
    const row = /** @type {HTMLElement | null} */ (target.closest("[data-row]"));
    if (!button) return;
    if (button.dataset.add === "findings") rows.addFinding(this);
    else if (button.dataset.add === "drills") rows.giveDrill(this);
    else if (row && "remove" in button.dataset) rows.remove(row);
    else if (row && "undo" in button.dataset) rows.show(row);
    else if (row && button.dataset.move) {
      if (!rows.move(row, Number(button.dataset.move))) return;
      button.focus();
    } else return;
    this.#changed();
  }

  /** @param {Event} event */
  #put(event) {
    const button = /** @type {HTMLElement} */ (event.target).closest?.("[data-put-still]");
    if (!(button instanceof HTMLElement)) return;
    rows.putStill(this, button);
    this.#changed();
  }

  /** Something was put on the page; a still taken on the stage joins the list. @param {CustomEvent} event */
  #settled(event) {
    rows.showReadyStills(this);
    const path = event.detail.pathInfo?.requestPath ?? "";
    const list = this.querySelector("[data-ready-stills]");
    if (list && /^\/(clips|stills)\//.test(path) && path.includes("still")) window.htmx?.trigger(list, "still-taken");
  }

  /** Posting waits until everything typed is saved. @param {SubmitEvent} event */
  async #submit(event) {
    const form = /** @type {HTMLFormElement} */ (event.target);
    if (this.saver.isSettled) return;
    event.preventDefault();
    await this.saver.flush();
    if (this.saver.isSettled) form.submit();
  }

  #changed() {
    this.#count();
    rows.showReadyStills(this);
    this.saver.changed();
  }

  #saved() {
    for (const place of this.querySelectorAll("[data-error]")) {
      place.textContent = "";
      /** @type {HTMLElement} */ (place).hidden = true;
    }
    this.dispatchEvent(new CustomEvent("recap-saved"));
    this.refreshPreview?.();
  }

  /** @param {import("./saver.js").Errors} errors */
  #wrong(errors) {
    const unplaced = [];
    for (const { row, message } of errors) {
      const place = this.querySelector(`[data-row="${CSS.escape(row)}"] [data-error]`);
      if (!(place instanceof HTMLElement)) unplaced.push(message);
      else Object.assign(place, { textContent: message, hidden: false });
    }
    if (unplaced.length) this.#tell(`Not saved. ${unplaced.join(" ")}`);
  }

  /** @param {string} [words] */
  #tell(words = WORDS[this.saver.state]) {
    if (!this.saver.isKept) words = words.replace(/kept on this device.*/, "leave this page open, this device can't keep it");
    const place = /** @type {HTMLElement} */ (this.querySelector("[data-status]"));
    place.dataset.status = this.saver.state;
    place.textContent = words;
  }

  #count() {
    const field = /** @type {HTMLTextAreaElement} */ (this.querySelector("[name=main_point]"));
    const place = this.querySelector("[data-counter]");
    const left = field.maxLength - field.value.length;
    if (place) place.textContent = left === 1 ? "1 letter left" : `${left} letters left`;
  }
}

customElements.define("recap-editor", RecapEditor);
