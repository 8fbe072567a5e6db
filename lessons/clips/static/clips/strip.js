/**
 * The frame strip: small pictures from begin to end, a playhead, flags of stills, the looped part.
 * Works as a slider by pointer; sends "scrub" (detail: microseconds) while it is dragged.
 */
export class Strip extends EventTarget {
  #image = new Image();
  #durationUs;
  #count;

  /**
   * @param {HTMLElement} place
   * @param {{url: string, count: number, durationUs: number}} strip
   */
  constructor(place, strip) {
    super();
    this.film = /** @type {HTMLElement} */ (place.querySelector("[data-film]"));
    this.canvas = /** @type {HTMLCanvasElement} */ (place.querySelector("[data-canvas]"));
    this.playhead = /** @type {HTMLElement} */ (place.querySelector("[data-playhead]"));
    this.band = /** @type {HTMLElement} */ (place.querySelector("[data-band]"));
    this.flags = /** @type {HTMLElement} */ (place.querySelector("[data-flags]"));
    this.#durationUs = strip.durationUs;
    this.#count = strip.count;
    this.#image.src = strip.url;
    this.#image.addEventListener("load", () => this.draw());
    this.watcher = new ResizeObserver(() => this.draw());
    this.watcher.observe(this.film);
    for (const name of ["pointerdown", "pointermove", "pointerup", "pointercancel"]) {
      this.film.addEventListener(name, (event) => this.#drag(/** @type {PointerEvent} */ (event)));
    }
  }

  /** Fill the width with as many of the strip's pictures as fit. */
  draw() {
    if (!this.#image.complete || !this.#image.naturalWidth) return;
    const { clientWidth, clientHeight } = this.film;
    const ratio = window.devicePixelRatio || 1;
    const cell = { width: this.#image.naturalWidth / this.#count, height: this.#image.naturalHeight };
    this.canvas.width = Math.round(clientWidth * ratio);
    this.canvas.height = Math.round(clientHeight * ratio);
    const brush = this.canvas.getContext("2d");
    if (!brush || !clientWidth) return;
    const width = (this.canvas.height * cell.width) / cell.height;
    const shown = Math.max(1, Math.round(this.canvas.width / width));
    const place = this.canvas.width / shown;
    // each picture fills its place; what stands over above and below is left out
    const height = Math.min(cell.height, (cell.width * this.canvas.height) / place);
    for (let k = 0; k < shown; k += 1) {
      const which = Math.min(this.#count - 1, Math.floor(((k + 0.5) / shown) * this.#count));
      const x = which * cell.width;
      const y = (cell.height - height) / 2;
      brush.drawImage(this.#image, x, y, cell.width, height, k * place, 0, place, this.canvas.height);
    }
  }

  /** @param {number} us @param {string} words what a screen reader says */
  show(us, words) {
    this.playhead.style.insetInlineStart = this.#share(us);
    this.film.setAttribute("aria-valuenow", String(Math.round(us)));
    this.film.setAttribute("aria-valuetext", words);
  }

  /** @param {number | null} fromUs @param {number | null} toUs */
  showLoop(fromUs, toUs) {
    this.band.hidden = fromUs === null || toUs === null;
    if (fromUs === null || toUs === null) return;
    this.band.style.insetInlineStart = this.#share(fromUs);
    this.band.style.inlineSize = this.#share(toUs - fromUs);
  }

  /**
   * A flag for each still that the player's page lists. Those of a swing's positions have handles
   * in the close lane; ten of them would lie on top of each other here.
   * @param {HTMLElement} player
   */
  showFlags(player) {
    const stills = [...player.querySelectorAll("[data-still]:not([data-of-swing])")].map((still) => ({
      us: Number(still.getAttribute("data-time-us")),
      position: still.getAttribute("data-position") ?? "",
      caption: still.getAttribute("data-caption") ?? "",
    }));
    stills.sort((a, b) => a.position.length - b.position.length);
    this.flags.replaceChildren(
      ...stills.map(({ us, position, caption }) => {
        const flag = document.createElement("button");
        flag.type = "button";
        flag.className = position ? "flag" : "flag bare";
        flag.textContent = position;
        flag.setAttribute("aria-label", `Go to the still ${position || caption}`);
        flag.style.insetInlineStart = this.#share(us);
        flag.addEventListener("click", () => this.#scrub(us));
        return flag;
      }),
    );
  }

  stop() {
    this.watcher.disconnect();
  }

  /** @param {number} us */
  #share(us) {
    return `${Math.min(100, (100 * us) / Math.max(1, this.#durationUs))}%`;
  }

  /** @param {PointerEvent} event */
  #drag(event) {
    if (event.type === "pointerdown") this.film.setPointerCapture(event.pointerId);
    if (!this.film.hasPointerCapture(event.pointerId)) return;
    const box = this.film.getBoundingClientRect();
    const share = (event.clientX - box.left) / box.width;
    if (event.type !== "pointerup") this.#scrub(Math.max(0, Math.min(1, share)) * this.#durationUs);
  }

  /** @param {number} us */
  #scrub(us) {
    this.dispatchEvent(new CustomEvent("scrub", { detail: us }));
  }
}
