/**
 * `<drill-clip-upload data-drill>`: sends one clip for a drill, over lost connections and reloads.
 */
import { ResumableUpload, pendingUploads } from "../portal/js/upload.js";

const KIND = "drill-clip";

class DrillClipUpload extends HTMLElement {
  async connectedCallback() {
    this.addEventListener("change", (event) => {
      const input = /** @type {HTMLInputElement} */ (event.target);
      const file = input.files?.[0];
      if (file) this.#picked(file);
      input.value = "";
    });
    for (const upload of await pendingUploads(KIND)) {
      if (upload.metadata.drill === this.dataset.drill) this.#send(upload);
    }
  }

  /** A new file, or the one that an earlier page could not keep. @param {File} file */
  #picked(file) {
    if (this.missing?.attach(file)) return;
    const metadata = { drill: this.dataset.drill ?? "", view: "other" };
    this.#send(new ResumableUpload(file, { kind: KIND, metadata }));
  }

  /** @param {ResumableUpload} upload */
  #send(upload) {
    const bar = /** @type {HTMLProgressElement} */ (this.querySelector("progress"));
    const detail = (/** @type {Event} */ event) => /** @type {CustomEvent} */ (event).detail;
    upload.addEventListener("progress", (event) => {
      const { sent, total } = detail(event);
      bar.hidden = false;
      bar.value = total ? sent / total : 0;
      this.#say(`Sending ${upload.name}`);
    });
    upload.addEventListener("waiting", (event) => this.#say(detail(event).reason));
    upload.addEventListener("refused", (event) => {
      bar.hidden = true;
      this.#say(detail(event).reason);
    });
    upload.addEventListener("missing", (event) => {
      this.missing = upload;
      this.#say(`Choose ${detail(event).name} again, and sending goes on where it stopped.`);
    });
    upload.addEventListener("done", () => location.reload());
    void upload.start();
  }

  /** @param {string} words */
  #say(words) {
    const place = /** @type {HTMLElement} */ (this.querySelector("[role=status]"));
    if (place.textContent !== words) place.textContent = words;
  }
}

customElements.define("drill-clip-upload", DrillClipUpload);
