/**
 * The chosen swing from close by: a handle for its begin, top, strike and finish. A tap shows the
 * handle's frame; a drag moves the handle, showing each frame on the way.
 *
 * Sends "go" (detail: microseconds) and "set" (detail: {point, us}).
 */
const POINTS = /** @type {const} */ (["begin", "top", "strike", "finish"]);
const MOVES_PX = 4;

export class Handles extends EventTarget {
  #fromUs = 0;
  #toUs = 1;
  /** @type {{point: string, id: number, x: number, moved: boolean, us: number} | null} */
  #held = null;

  /** @param {HTMLElement} lane */
  constructor(lane) {
    super();
    this.lane = lane;
    this.places = /** @type {HTMLElement} */ (lane.querySelector("[data-handles]"));
    this.playhead = /** @type {HTMLElement} */ (lane.querySelector("[data-close-playhead]"));
    lane.addEventListener("pointerdown", (event) => this.#begin(event));
    lane.addEventListener("pointermove", (event) => this.#move(event));
    lane.addEventListener("pointerup", (event) => this.#end(event));
    lane.addEventListener("pointercancel", () => this.#drop());
  }

  /**
   * Put a handle at each point of a swing that is known.
   * @param {import("./swings.js").Swing} swing @param {number} fromUs @param {number} toUs @param {boolean} movable
   */
  place(swing, fromUs, toUs, movable) {
    if (this.#held) return; // what arrives meanwhile must not tear it from the finger
    this.#fromUs = fromUs;
    this.#toUs = toUs;
    this.movable = movable;
    this.places.replaceChildren(
      ...POINTS.filter((point) => swing[point] !== null).map((point) => {
        const handle = document.createElement("button");
        handle.type = "button";
        handle.className = `handle ${point}`;
        handle.dataset.point = point;
        handle.dataset.us = String(swing[point]);
        handle.textContent = point[0].toUpperCase() + point.slice(1);
        handle.style.insetInlineStart = this.#share(Number(swing[point]));
        handle.classList.toggle("movable", movable);
        handle.addEventListener("click", (event) => {
          if (event.detail === 0) this.#tell("go", Number(swing[point])); // by the keyboard
        });
        return handle;
      }),
    );
  }

  /** @param {number} us */
  show(us) {
    const out = us < this.#fromUs || us > this.#toUs;
    this.playhead.hidden = out;
    if (!out) this.playhead.style.insetInlineStart = this.#share(us);
  }

  /** @param {PointerEvent} event */
  #begin(event) {
    if (event.button !== 0 || this.#held) return;
    const handle = /** @type {HTMLElement} */ (event.target).closest("[data-point]");
    this.lane.setPointerCapture(event.pointerId);
    const us = handle instanceof HTMLElement ? Number(handle.dataset.us) : this.#at(event.clientX);
    const point = handle instanceof HTMLElement ? (handle.dataset.point ?? "") : "";
    this.#held = { point, id: event.pointerId, x: event.clientX, moved: false, us };
    this.#tell("go", us);
  }

  /** @param {PointerEvent} event */
  #move(event) {
    const held = this.#held;
    if (!held || event.pointerId !== held.id) return;
    if (!held.moved && Math.abs(event.clientX - held.x) < MOVES_PX) return;
    held.moved = true;
    held.us = this.#at(event.clientX);
    this.#tell("go", held.us);
    const handle = this.places.querySelector(`[data-point="${held.point}"]`);
    if (this.movable && handle instanceof HTMLElement) handle.style.insetInlineStart = this.#share(held.us);
  }

  /** @param {PointerEvent} event */
  #end(event) {
    const held = this.#held;
    if (!held || event.pointerId !== held.id) return;
    this.#held = null;
    if (held.moved && held.point && this.movable) this.#tell("set", { point: held.point, us: held.us });
  }

  #drop() {
    const held = this.#held;
    this.#held = null;
    const handle = held && this.places.querySelector(`[data-point="${held.point}"]`);
    if (handle instanceof HTMLElement) handle.style.insetInlineStart = this.#share(Number(handle.dataset.us));
  }

  /** @param {number} clientX */
  #at(clientX) {
    const box = this.lane.getBoundingClientRect();
    const share = Math.max(0, Math.min(1, (clientX - box.left) / box.width));
    return this.#fromUs + share * (this.#toUs - this.#fromUs);
  }

  /** @param {number} us */
  #share(us) {
    return `${(100 * (us - this.#fromUs)) / Math.max(1, this.#toUs - this.#fromUs)}%`;
  }

  /** @param {string} what @param {unknown} detail */
  #tell(what, detail) {
    this.dispatchEvent(new CustomEvent(what, { detail }));
  }
}
