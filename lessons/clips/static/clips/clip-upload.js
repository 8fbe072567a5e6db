/**
 * `<clip-upload>`: chooses clips (picker, camera, drag and drop), asks for part, view and club of
 * each, and sends them; what an earlier page began goes on by itself. The markup is
 * templates/clips/_shelf.html; what has arrived is shown by the shelf inside of it.
 */
import { ResumableUpload, pendingUploads } from "../portal/js/upload.js";
import { remember } from "../portal/js/upload-store.js";
import { Transfer } from "./transfer.js";

const KIND = "clip";

class ClipUpload extends HTMLElement {
  /** The part of the lesson that the next chosen files belong to. */
  #part = "start";

  async connectedCallback() {
    this.addEventListener("click", (event) => this.#click(/** @type {HTMLElement} */ (event.target)));
    this.addEventListener("change", (event) => this.#picked(/** @type {HTMLInputElement} */ (event.target)));
    for (const name of ["dragover", "dragleave", "drop"]) {
      this.addEventListener(name, (event) => this.#drag(/** @type {DragEvent} */ (event)));
    }
    // Escape closes the dialog: then nothing is sent
    this.#get("[data-chosen]").addEventListener("cancel", () => this.#takeRows());
    for (const upload of await pendingUploads(KIND)) this.#send(upload);
  }

  /** @param {HTMLElement} target */
  #click(target) {
    const part = target.closest("[data-part]");
    if (part instanceof HTMLElement) this.#part = part.dataset.part ?? "start";
    if (target.closest("[data-add]")) this.#get("[data-picker]").click();
    if (target.closest("[data-shoot]")) this.#get("[data-camera]").click();
    if (target.closest("[data-leave-out]")) target.closest(".chosen-row")?.remove();
    if (target.closest("[data-drop-all]")) this.#takeRows();
    if (target.closest("[data-send]")) this.#sendAll();
    this.#count();
  }

  /** @param {HTMLInputElement} input */
  #picked(input) {
    if (input.matches("[data-picker], [data-camera]")) {
      this.#choose([...(input.files ?? [])]);
      input.value = "";
    } else if (input.closest(".chosen-row")) {
      this.#sameBelow(input);
    }
  }

  /** What is said of one clip holds for those below it, until they are told otherwise. @param {HTMLInputElement} input */
  #sameBelow(input) {
    input.dataset.said = "";
    let row = input.closest(".chosen-row")?.nextElementSibling;
    for (; row; row = row.nextElementSibling) {
      const below = /** @type {HTMLInputElement} */ (row.querySelector(`[name=${input.name}]`));
      if (!("said" in below.dataset)) below.value = input.value;
    }
  }

  /** @param {DragEvent} event */
  #drag(event) {
    const place = /** @type {HTMLElement} */ (event.target).closest("[data-part]");
    const open = place instanceof HTMLElement && place.querySelector("[data-add]");
    if (!open || !event.dataTransfer?.types.includes("Files")) return;
    event.preventDefault();
    place.classList.toggle("over", event.type === "dragover");
    if (event.type !== "drop") return;
    this.#part = place.dataset.part ?? "start";
    this.#choose([...event.dataTransfer.files]);
  }

  /** Ask what each file shows. @param {File[]} files */
  #choose(files) {
    const rows = this.#get("[data-rows]");
    for (const file of files) {
      if (file.type && !file.type.startsWith("video/")) {
        this.#transfer(file.name).refuse("This is not a video, so it is left out. Choose the video itself.");
        continue;
      }
      const row = this.#copy("[data-choice]");
      row.querySelector("[data-name]").textContent = file.name;
      row.querySelector("[name=part]").value = this.#part;
      row.querySelector("[name=view]").value = this.dataset.view;
      row.querySelector("[name=club]").value = this.dataset.club;
      row.file = file;
      // a little into it: some phones draw nothing at 0
      row.querySelector("[data-preview]").src = `${URL.createObjectURL(file)}#t=0.1`;
      rows.append(row);
    }
    const dialog = this.#get("[data-chosen]");
    if (rows.childElementCount && !dialog.open) dialog.showModal();
    this.#count();
  }

  /** Say how many are about to be sent. */
  #count() {
    const count = this.#get("[data-rows]").childElementCount;
    if (count === 0) this.#get("[data-chosen]").close();
    this.#get("[data-send]").textContent = count === 1 ? "Send the clip" : `Send ${count} clips`;
  }

  /** Empty the list of what was chosen; returns what stood on it. @returns {any[]} */
  #takeRows() {
    const rows = [...this.#get("[data-rows]").children];
    this.#get("[data-rows]").replaceChildren();
    for (const row of rows) URL.revokeObjectURL(row.querySelector("[data-preview]").src.split("#")[0]);
    return rows;
  }

  #sendAll() {
    for (const row of this.#takeRows()) {
      const [part, view, club] = ["part", "view", "club"].map((name) => row.querySelector(`[name=${name}]`).value.trim());
      Object.assign(this.dataset, { view, club }); // the next clips are likely of the same kind
      const metadata = { lesson: this.dataset.lesson ?? "", part, view, club };
      const upload = new ResumableUpload(row.file, { kind: KIND, metadata });
      // also what waits for its turn must outlive a reload
      void remember(upload.kept);
      this.#send(upload);
    }
  }

  /** @param {ResumableUpload} upload */
  #send(upload) {
    const row = this.#transfer(upload.name);
    row.follow(upload, () => document.body.dispatchEvent(new CustomEvent("shelf-changed")));
    void upload.start();
  }

  /** @param {string} name */
  #transfer(name) {
    const row = new Transfer(this.#copy("[data-transfer]"), name);
    this.#get("[data-sending]").append(row.place);
    return row;
  }

  /** @param {string} template @returns {any} */
  #copy(template) {
    return this.#get(template).content.firstElementChild.cloneNode(true);
  }

  /** @param {string} selector @returns {any} */
  #get(selector) {
    return this.querySelector(selector);
  }
}

customElements.define("clip-upload", ClipUpload);
