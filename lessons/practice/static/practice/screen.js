/** One drill full screen: a counter or a timer in the lower half, under its cue and picture. */
import { addForm } from "./said.js";
import { buzz, chime, output } from "./sound.js";
import { silence, tempoPanel } from "./tempo.js";

/**
 * @typedef {object} Turn
 * @property {number} key the drill given
 * @property {number} number @property {number} of
 * @property {number} reps 0 for a turn that is timed
 * @property {number} seconds
 */
/**
 * @typedef {object} Callbacks
 * @property {(amount: number) => void} counted repetitions or seconds of this turn so far
 * @property {() => void} next @property {() => void} skip
 * @property {() => void} enough @property {() => void} close
 */

const MORE_SECONDS = 60;

export class Screen {
  amount = 0;
  clock = 0;
  goal = 0;

  /** @param {HTMLDialogElement} dialog @param {Callbacks} on */
  constructor(dialog, on) {
    this.dialog = dialog;
    this.on = on;
    addForm(dialog);
    this.at("[data-count]").addEventListener("click", () => this.tap());
    this.at("[data-less]").addEventListener("click", () => this.set(this.less));
    this.at("[data-skip]").addEventListener("click", on.skip);
    this.at("[data-enough]").addEventListener("click", on.enough);
    this.at("[data-close]").addEventListener("click", on.close);
    dialog.addEventListener("cancel", (event) => {
      event.preventDefault();
      on.close();
    });
    const panel = this.at("[data-tempo-panel]");
    this.at("[data-tempo]").addEventListener("click", (event) => {
      panel.hidden = !panel.hidden;
      /** @type {HTMLElement} */ (event.currentTarget).setAttribute("aria-expanded", String(!panel.hidden));
      if (panel.hidden) silence();
      else tempoPanel(panel);
    });
  }

  /** @param {string} selector */
  at(selector) {
    return /** @type {HTMLElement} */ (this.dialog.querySelector(selector));
  }

  /** @param {Turn} turn @param {string} place @param {string} next @param {number} amount done of it before */
  show(turn, place, next, amount, isFresh = true) {
    this.turn = turn;
    this.goal = turn.reps || turn.seconds;
    this.isFresh = isFresh; // nothing of the drill is done yet
    this.at("[data-place]").textContent = place;
    this.at("[data-next]").textContent = next;
    this.at(".run-screen").hidden = false;
    this.at("[data-said]").hidden = true;
    this.set(amount);
    if (!this.dialog.open) this.dialog.showModal();
    this.at("[data-count]").focus();
    this.play();
    // @ts-ignore a phone that goes dark would hide the count
    navigator.wakeLock?.request("screen").then((lock) => (this.lock = lock), () => {});
  }

  get isTimed() {
    return !this.turn?.reps;
  }

  get isFull() {
    return this.amount >= this.goal;
  }

  /** One less, or once the goal is reached one more: then the button says so. */
  get less() {
    const step = this.isTimed ? MORE_SECONDS : 1;
    return this.isFull ? this.amount + (this.isTimed ? 0 : step) : Math.max(0, this.amount - step);
  }

  tap() {
    output(); // sound may begin from now on
    if (this.isTimed) this.isFull ? this.on.next() : this.clock ? this.pause() : this.run();
    else if (this.isFull) this.on.next();
    else {
      buzz(25);
      this.set(this.amount + 1);
      if (this.isFull) chime();
    }
  }

  run() {
    const began = Date.now() - this.amount * 1000;
    this.clock = setInterval(() => {
      // From the time of day: a page that slept is right again when it wakes
      this.set(Math.min(this.goal, (Date.now() - began) / 1000));
      if (this.isFull) {
        this.pause();
        chime();
      }
    }, 200);
    this.draw();
  }

  pause() {
    clearInterval(this.clock);
    this.clock = 0;
    this.draw();
  }

  /** @param {number} amount */
  set(amount) {
    this.amount = amount;
    this.on.counted(amount);
    this.draw();
  }

  draw() {
    const left = Math.ceil(this.goal - this.amount);
    const shown = this.isTimed ? `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}` : String(this.amount);
    this.at("[data-number]").textContent = shown;
    this.at("[data-of]").textContent = this.words;
    this.at("[data-count]").classList.toggle("full", this.isFull);
    const less = this.at("[data-less]");
    less.hidden = (!this.isFull && !this.amount) || this.clock > 0 || (this.isTimed && this.isFull);
    less.textContent = this.isFull ? "One more" : this.isTimed ? "A minute back" : "Take one off";
    const isUntouched = Boolean(this.isFresh) && !this.amount;
    this.at("[data-skip]").hidden = !isUntouched;
    this.at("[data-enough]").hidden = isUntouched;
  }

  get words() {
    if (this.isFull) return this.amount > this.goal ? "more than set. Tap to go on" : "Done. Tap to go on";
    if (this.isTimed) return this.clock ? "Tap to pause" : this.amount ? "Tap to go on" : "Tap to start";
    return this.amount ? `of ${this.goal}` : `of ${this.goal}. Tap after each one`;
  }

  play() {
    const video = /** @type {HTMLVideoElement | null} */ (this.dialog.querySelector("video"));
    if (!video) return;
    if (!video.src) video.src = String(video.dataset.src);
    if (matchMedia("(prefers-reduced-motion: reduce)").matches) video.controls = true;
    else video.play().catch(() => (video.controls = true)); // not kept, or not allowed: the still stays
  }

  hide() {
    this.pause();
    silence();
    this.at("[data-tempo-panel]").hidden = true;
    this.at("[data-tempo]").setAttribute("aria-expanded", "false");
    this.dialog.querySelector("video")?.pause();
    // @ts-ignore
    this.lock?.release();
    this.dialog.close();
  }
}
