/**
 * `<check-in data-student data-thread>`: films or chooses one clip, shows it, and sends it over lost
 * connections and reloads. What is typed stays on this device until the clip has arrived.
 */
import { Transfer } from "../clips/transfer.js";
import { remember } from "../portal/js/upload-store.js";
import { ResumableUpload, pendingUploads } from "../portal/js/upload.js";
import { forget, keep, kept } from "./draft.js";

const KIND = "check-in";

class CheckIn extends HTMLElement {
  /** @type {File | null} */
  #file = null;

  async connectedCallback() {
    this.addEventListener("click", (event) => this.#click(/** @type {HTMLElement} */ (event.target)));
    this.addEventListener("change", (event) => this.#picked(/** @type {HTMLInputElement} */ (event.target)));
    const text = this.#get("[name=text]");
    text.value ||= kept(this.#place)?.text ?? "";
    text.addEventListener("input", () => keep(this.#place, { text: text.value, client: "" }));
    for (const upload of await pendingUploads(KIND)) {
      if (upload.metadata.student === this.dataset.student) this.#send(upload);
    }
  }

  get #place() {
    return `check-in-${this.dataset.student}-${this.dataset.thread}`;
  }

  /** @param {HTMLElement} target */
  #click(target) {
    if (target.matches("[data-film]")) this.#get("[data-camera]").click();
    if (target.matches("[data-pick]")) this.#get("[data-picker]").click();
    if (target.matches("[data-drop]")) this.#show(null);
    if (target.matches("[data-send]") && this.#file) this.#sendFile(this.#file);
  }

  /** @param {HTMLInputElement} input */
  #picked(input) {
    if (!input.matches("[data-camera], [data-picker]")) return;
    const file = input.files?.[0];
    if (file) this.#show(file);
    input.value = "";
  }

  /** Show what was chosen before it goes. @param {File | null} file */
  #show(file) {
    const preview = this.#get("[data-preview]");
    if (preview.src) URL.revokeObjectURL(preview.src);
    const isVideo = file === null || file.type === "" || file.type.startsWith("video/");
    this.#file = isVideo ? file : null;
    for (const part of ["[data-chosen]", "[data-send-row]"]) this.#get(part).hidden = !this.#file;
    this.#get("[data-choose]").hidden = this.#file !== null;
    this.#get("[data-kept]").textContent = isVideo ? "" : `${file?.name} is not a video. Choose a clip.`;
    if (this.#file) preview.src = URL.createObjectURL(this.#file);
    else preview.removeAttribute("src");
    this.#get("[data-chosen] [data-name]").textContent = this.#file?.name ?? "";
  }

  /** @param {File} file */
  #sendFile(file) {
    const metadata = {
      student: this.dataset.student ?? "",
      thread: this.dataset.thread ?? "",
      view: this.#get("[name=view]").value,
      text: this.#get("[name=text]").value.trim().replace(/\s+/g, " "),
    };
    const upload = new ResumableUpload(file, { kind: KIND, metadata });
    this.#show(null);
    void remember(upload.kept);
    this.#send(upload);
  }

  /** @param {ResumableUpload} upload */
  #send(upload) {
    const place = this.#get("[data-transfer]").cloneNode(true);
    place.hidden = false;
    this.#get("[data-transfer]").after(place);
    this.#get("[data-choose]").hidden = true;
    const row = new Transfer(place, upload.name);
    upload.addEventListener("done", (event) => {
      forget(this.#place);
      location.assign(/** @type {CustomEvent} */ (event).detail.result);
    });
    upload.addEventListener("refused", () => (this.#get("[data-choose]").hidden = false));
    row.stop.addEventListener("click", () => (this.#get("[data-choose]").hidden = false));
    row.follow(upload, () => undefined);
    void upload.start();
  }

  /** @param {string} selector @returns {any} */
  #get(selector) {
    return this.querySelector(selector);
  }
}

customElements.define("check-in", CheckIn);
