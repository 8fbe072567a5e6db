/**
 * `<message-form data-place>`: what is typed stays on this device until the site shows the message.
 * The site answers a sending with the thread, where the message carries the id it was sent under.
 */
import { keep, kept, settle } from "./draft.js";

class MessageForm extends HTMLElement {
  connectedCallback() {
    const shown = document.querySelectorAll("[data-message]");
    settle(new Set([...shown].map((message) => /** @type {HTMLElement} */ (message).dataset.message ?? "")));
    const draft = kept(this.#place);
    const isNew = !this.#text.value && draft;
    if (isNew) {
      this.#text.value = draft.text;
      this.#client.value = draft.client;
      this.#say("What you typed before is still here.");
    }
    this.addEventListener("input", () => this.#typed());
    this.addEventListener("htmx:beforeRequest", () => this.#typed());
  }

  #typed() {
    const words = { text: this.#text.value, client: this.#client.value };
    const isKept = keep(this.#place, words);
    this.#say(isKept ? "" : "This device can't keep what you type. Don't close the page before it is sent.");
  }

  get #place() {
    return this.dataset.place ?? "";
  }

  /** @returns {HTMLTextAreaElement} */
  get #text() {
    return /** @type {any} */ (this.querySelector("[name=text]"));
  }

  /** @returns {HTMLInputElement} */
  get #client() {
    return /** @type {any} */ (this.querySelector("[name=client_id]"));
  }

  /** @param {string} words */
  #say(words) {
    /** @type {HTMLElement} */ (this.querySelector("[data-kept]")).textContent = words;
  }
}

customElements.define("message-form", MessageForm);
