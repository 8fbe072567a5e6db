/** A practice from the first turn to the last; where it stands outlives the page. */
import { ask } from "./said.js";
import { Screen } from "./screen.js";

const KEPT = "carryover-run";

/** @typedef {import("./screen.js").Turn} Turn */
/** @typedef {{who: string, day: string, turns: Turn[], at: number, amounts: number[]}} State */

/** The rows of the plan as turns. @param {number[][]} rows @returns {Turn[]} */
export const turnsOf = (rows) => rows.map(([key, number, of, reps, seconds]) => ({ key, number, of, reps, seconds }));

/** The same turns, one drill after the other. @param {Turn[]} turns */
export function oneByOne(turns) {
  const keys = [...new Set(turns.map((turn) => turn.key))];
  return keys.flatMap((key) => turns.filter((turn) => turn.key === key));
}

/** A practice of that person and day that was broken off. @param {string} who @param {string} day @returns {State | null} */
export function brokenOff(who, day) {
  try {
    const state = JSON.parse(localStorage.getItem(KEPT) ?? "null");
    return state?.who === who && state.day === day && state.at < state.turns.length ? state : null;
  } catch {
    return null;
  }
}

export class Run {
  /**
   * @param {State} state
   * @param {(key: number, said: Record<string, string>) => Promise<void>} keep
   * @param {(isOver: boolean) => void} left
   */
  constructor(state, keep, left) {
    this.state = state;
    this.keep = keep;
    this.left = left;
    /** @type {Map<number, Screen>} */
    this.screens = new Map();
  }

  get turn() {
    return this.state.turns[this.state.at];
  }

  /** @param {number} key */
  screen(key) {
    let screen = this.screens.get(key);
    if (!screen) {
      const dialog = /** @type {HTMLDialogElement} */ (document.getElementById(`run-${key}`));
      screen = new Screen(dialog, {
        counted: (amount) => this.count(amount),
        next: () => this.next(),
        skip: () => this.skip(),
        enough: () => this.finish(key),
        close: () => this.close(),
      });
      this.screens.set(key, screen);
    }
    return screen;
  }

  /** @param {number} amount */
  count(amount) {
    this.state.amounts[this.state.at] = amount;
    this.save();
  }

  save() {
    localStorage.setItem(KEPT, JSON.stringify(this.state));
  }

  show() {
    const { turn, state } = this;
    if (!turn) return this.end(true);
    const after = state.turns[state.at + 1];
    const place = `${state.at + 1} of ${state.turns.length}`;
    const next = after ? this.nextWords(turn, after) : "The last one";
    const isFresh = !state.turns.some((one, n) => n < state.at && one.key === turn.key && state.amounts[n]);
    this.screen(turn.key).show(turn, place, next, state.amounts[state.at] ?? 0, isFresh);
    return undefined;
  }

  /** @param {Turn} turn @param {Turn} after */
  nextWords(turn, after) {
    if (after.key === turn.key) return `Then once more, ${after.number} of ${after.of}`;
    return `Next: ${this.name(after.key)}${after.reps ? `, ${after.reps} times` : ""}`;
  }

  /** @param {number} key */
  name(key) {
    return document.getElementById(`run-${key}`)?.dataset.name ?? "";
  }

  next() {
    const { key } = this.turn;
    if (!this.state.turns.slice(this.state.at + 1).some((turn) => turn.key === key)) return this.finish(key);
    return this.go();
  }

  go() {
    const before = this.screen(this.turn.key);
    this.state.at += 1;
    this.save();
    if (this.turn?.key !== Number(before.dialog.dataset.key)) before.hide();
    this.show();
  }

  /** Leave a drill for another day; nothing is logged. */
  skip() {
    this.screen(this.turn.key).hide();
    this.drop(this.turn.key, this.state.at);
    this.show();
  }

  /** Take the turns of a drill out, from a place on. @param {number} key @param {number} from */
  drop(key, from) {
    const { turns, amounts } = this.state;
    this.state.amounts = amounts.filter((_, n) => n < from || turns[n].key !== key);
    this.state.turns = turns.filter((turn, n) => n < from || turn.key !== key);
    this.save();
  }

  /** All of a drill is done, or enough of it: say more, and keep it. @param {number} key */
  async finish(key) {
    const tally = { reps: 0, seconds: 0 };
    this.state.turns.forEach((turn, n) => {
      if (turn.key === key) tally[turn.reps ? "reps" : "seconds"] += this.state.amounts[n] ?? 0;
    });
    const screen = this.screen(key);
    screen.pause();
    const said = await ask(screen.dialog, tally);
    if (!said) return this.show();
    await this.keep(key, said);
    screen.hide();
    this.drop(key, this.state.at + 1);
    this.state.at += 1;
    this.save();
    return this.show();
  }

  close() {
    this.screen(this.turn.key).hide();
    this.end(false);
  }

  /** @param {boolean} isOver */
  end(isOver) {
    if (isOver) localStorage.removeItem(KEPT);
    this.left(isOver);
  }
}
