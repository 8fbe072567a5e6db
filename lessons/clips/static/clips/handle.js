/**
 * One position's handle in the close lane. Where it can be moved it is a slider: arrow keys move
 * it a frame, Page Up and Page Down ten, Enter confirms it where it is, Escape puts it back.
 * What the keys moved is told once they rest.
 *
 * @typedef {{position: string, us: number, state: string, label: string}} Place
 *   state: "guess", "found" or "placed"
 */
const STEPS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10 };
const RESTS_MS = 700;
const ROWS = { P1: "1", P4: "1", P7: "1", P10: "1", P2: "2", P5: "2", P8: "2" };
const WORDS = { guess: "a guess", found: "from the swing", placed: "confirmed" };

export class Handle {
  /** Where it has been moved to and the page does not say yet. @type {number | null} */
  moved = null;
  #told = false; // and the site has been told
  #timer = 0;

  /**
   * @param {Place} place @param {boolean} movable
   * @param {{step: (us: number, count: number) => number, go: (us: number) => void, set: (us: number) => void, rests: () => void, words: (us: number) => string}} lane
   */
  constructor(place, movable, lane) {
    this.place = place;
    this.lane = lane;
    this.movable = movable;
    const element = document.createElement(movable ? "div" : "button");
    if (element instanceof HTMLButtonElement) element.type = "button";
    element.className = "handle";
    element.dataset.handle = place.position;
    element.dataset.row = ROWS[place.position] ?? "3";
    element.textContent = place.position;
    element.classList.toggle("movable", movable);
    this.element = element;
    element.addEventListener("click", (event) => {
      if (event.detail === 0) lane.go(this.us); // by the keyboard
    });
    if (!movable) return;
    element.tabIndex = 0;
    element.setAttribute("role", "slider");
    element.addEventListener("keydown", (event) => this.#key(event));
    element.addEventListener("focus", () => lane.go(this.us));
    element.addEventListener("blur", () => this.settle());
  }

  /** Where it stands. */
  get us() {
    return this.moved ?? this.place.us;
  }

  /** Whether keys have moved it and may move it further. */
  get isMoving() {
    return this.#timer !== 0;
  }

  /** What the page says of it now; where it was moved to stays until that is answered. @param {Place} place */
  update(place) {
    this.place = place;
    if (!this.#timer && !this.#told) this.moved = null;
    this.element.dataset.us = String(place.us);
    this.element.dataset.state = place.state;
    if (!this.movable) this.element.setAttribute("aria-label", `Go to ${this.#name}`);
  }

  /** @param {(us: number) => string} share @param {number} fromUs @param {number} toUs */
  draw(share, fromUs, toUs) {
    this.element.style.insetInlineStart = share(this.us);
    if (!this.movable) return;
    const values = {
      "aria-label": this.#name,
      "aria-valuemin": Math.round(fromUs),
      "aria-valuenow": Math.round(this.us),
      "aria-valuemax": Math.round(toUs),
      "aria-valuetext": `${this.lane.words(this.us)}, ${this.moved === null ? WORDS[this.place.state] : "moved"}`,
    };
    for (const [name, value] of Object.entries(values)) this.element.setAttribute(name, String(value));
  }

  /** Hold it at a time, untold. @param {number} us */
  hold(us) {
    this.moved = us;
    this.#told = false;
  }

  /** Tell where it has been moved to, once. */
  settle() {
    this.#rest();
    if (this.moved !== null && !this.#told) {
      this.#told = true;
      this.lane.set(this.moved);
    }
    this.lane.rests();
  }

  /** The site has answered: from now on it is where the page says. */
  answered() {
    this.#told = false;
  }

  /** Back to where the page says it is. */
  putBack() {
    this.#rest();
    this.#told = false;
    this.moved = null;
    this.lane.rests();
  }

  #rest() {
    clearTimeout(this.#timer);
    this.#timer = 0;
  }

  get #name() {
    return `${this.place.position} ${this.place.label}`;
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key in STEPS) this.#move(this.lane.step(this.us, STEPS[event.key]));
    else if (event.key === "Enter") this.lane.set(this.us);
    else if (event.key === "Escape" && this.moved !== null) {
      this.putBack();
      this.lane.go(this.us);
    } else return;
    event.preventDefault();
    event.stopPropagation();
  }

  /** @param {number} us */
  #move(us) {
    this.hold(us);
    this.lane.go(us);
    this.#rest();
    this.#timer = window.setTimeout(() => this.settle(), RESTS_MS);
  }
}
