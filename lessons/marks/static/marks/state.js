/**
 * The marks of one still and what was done to them. Marks are never changed in place: each
 * change makes a new list, so undo is a step back to a list that was kept.
 * Events: 'change' (draw again), 'settled' (a change is done: save), 'choose' (another mark).
 * @typedef {import("./shapes.js").Mark} Mark
 */

const STEPS_KEPT = 200;

export class State extends EventTarget {
  /** @param {Mark[]} marks */
  constructor(marks) {
    super();
    this.marks = marks;
    /** @type {string} */
    this.chosenId = "";
    /** @type {Mark[][]} */
    this.past = [];
    /** @type {Mark[][]} */
    this.future = [];
    /** @type {Mark[] | null} */
    this.before = null;
    this.lastKey = "";
  }

  get chosen() {
    return this.marks.find((mark) => mark.id === this.chosenId) ?? null;
  }

  /** @param {string} id '' for none */
  choose(id) {
    if (this.chosenId === id) return;
    this.chosenId = id;
    this.lastKey = "";
    this.dispatchEvent(new Event("choose"));
  }

  /** Show a mark as a hand draws or drags it; `settle` or `abandon` ends it. @param {Mark} mark */
  show(mark) {
    this.before ??= this.marks;
    const known = this.marks.some((other) => other.id === mark.id);
    this.marks = known ? this.marks.map((other) => (other.id === mark.id ? mark : other)) : [...this.marks, mark];
    this.dispatchEvent(new Event("change"));
  }

  /** Show other marks for what was there; `settle` or `abandon` ends it. @param {Mark[]} marks */
  showAll(marks) {
    this.before ??= this.marks;
    this.marks = marks;
    this.dispatchEvent(new Event("change"));
  }

  /**
   * Keep what was shown as one step. Steps with the same key in a row are one (typing, nudging).
   */
  settle(key = "") {
    if (!this.before) return;
    const before = this.before;
    this.before = null;
    if (!key || key !== this.lastKey) this.past = [...this.past, before].slice(-STEPS_KEPT);
    this.future = [];
    this.lastKey = key;
    this.#tell();
  }

  /** Go back to how it was before the hand began. */
  abandon() {
    if (!this.before) return;
    this.marks = this.before;
    this.before = null;
    this.dispatchEvent(new Event("change"));
  }

  /** Replace all marks as one step that can be undone. @param {Mark[]} marks */
  replace(marks) {
    this.abandon();
    this.before = this.marks;
    this.marks = marks;
    if (!this.chosen) this.choose("");
    this.settle();
  }

  /** Take over marks that are saved already; undo brings one's own back. @param {Mark[]} marks */
  adopt(marks) {
    this.abandon();
    this.past = [...this.past, this.marks];
    this.future = [];
    this.marks = marks;
    this.choose("");
    this.dispatchEvent(new Event("change"));
  }

  /** @param {Mark} mark */
  put(mark, key = "") {
    this.abandon();
    this.show(mark);
    this.settle(key);
  }

  /** @param {string} id */
  remove(id) {
    this.replace(this.marks.filter((mark) => mark.id !== id));
  }

  undo() {
    this.#step("past", "future");
  }

  redo() {
    this.#step("future", "past");
  }

  /** @param {"past" | "future"} from @param {"past" | "future"} to */
  #step(from, to) {
    this.abandon();
    const list = this[from][this[from].length - 1];
    if (!list) return;
    this[to] = [...this[to], this.marks];
    this[from] = this[from].slice(0, -1);
    this.marks = list;
    this.lastKey = "";
    if (!this.chosen) this.choose("");
    this.#tell();
  }

  #tell() {
    this.dispatchEvent(new Event("change"));
    this.dispatchEvent(new Event("settled"));
  }
}

/** A new mark's name. Works on plain http too, where crypto.randomUUID does not. */
export function newId() {
  return [...crypto.getRandomValues(new Uint8Array(9))].map((byte) => byte.toString(36).padStart(2, "0")).join("");
}
