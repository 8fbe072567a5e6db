/**
 * One clip on its way, as a row: how much has been sent, why it waits, or why it was refused and
 * what to do about it.
 */
export class Transfer {
  /** @param {HTMLElement} place @param {string} name */
  constructor(place, name) {
    this.place = place;
    this.name = name;
    this.progress = /** @type {HTMLProgressElement} */ (place.querySelector("[data-progress]"));
    this.words = /** @type {HTMLElement} */ (place.querySelector("[data-words]"));
    this.again = /** @type {HTMLButtonElement} */ (place.querySelector("[data-again]"));
    this.stop = /** @type {HTMLButtonElement} */ (place.querySelector("[data-cancel]"));
    this.file = /** @type {HTMLInputElement} */ (place.querySelector("[data-same]"));
    /** @type {HTMLElement} */ (place.querySelector("[data-name]")).textContent = name;
    this.progress.setAttribute("aria-label", `${name} sent`);
    this.stop.addEventListener("click", () => this.place.remove());
  }

  /**
   * Show what becomes of an upload.
   * @param {import("../portal/js/upload.js").ResumableUpload} upload
   * @param {() => void} arrived
   */
  follow(upload, arrived) {
    const on = (/** @type {string} */ name, /** @type {(detail: any) => void} */ work) =>
      upload.addEventListener(name, (event) => work(/** @type {CustomEvent} */ (event).detail));
    this.say("Waits for its turn.");
    on("progress", ({ sent, total }) => {
      this.place.classList.remove("refused");
      this.again.hidden = true;
      this.progress.hidden = false;
      this.progress.value = total ? sent / total : 0;
      this.say(`${megabytes(sent)} of ${megabytes(total)} MB sent. You can go on working here.`);
    });
    on("waiting", ({ reason }) => this.say(reason));
    on("missing", ({ name }) => {
      this.say(`Choose ${name} once more: this browser could not keep it. What was sent is kept.`);
      this.#offer("Choose", () => this.file.click());
    });
    on("refused", ({ reason, kept }) => {
      this.refuse(reason);
      if (kept) this.#offer("Go on", () => upload.start());
    });
    on("done", () => {
      this.place.remove();
      arrived();
    });
    this.stop.addEventListener("click", () => upload.cancel());
    this.file.addEventListener("change", () => {
      const [file] = this.file.files ?? [];
      if (file && !upload.attach(file)) this.say(`That is another file. Choose ${this.name}, as it was.`);
      this.file.value = "";
    });
  }

  /** @param {string} reason */
  refuse(reason) {
    this.place.classList.add("refused");
    this.progress.hidden = true;
    this.say(reason);
    this.stop.textContent = "Close";
  }

  /** @param {string} words */
  say(words) {
    if (this.words.textContent !== words) this.words.textContent = words;
  }

  /** @param {string} word @param {() => void} work */
  #offer(word, work) {
    this.again.textContent = word;
    this.again.hidden = false;
    this.again.onclick = work;
  }
}

/** @param {number} bytes */
function megabytes(bytes) {
  return bytes < 1e7 ? (bytes / 1e6).toFixed(1) : Math.round(bytes / 1e6);
}
