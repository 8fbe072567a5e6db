/** Makes today's page live: drills full screen, logs that may wait, the right day's plan. */
import { livePhone } from "./phone/phone.js";
import { add, dayIn, newId, onChange, unknownTo } from "./phone/queue.js";
import { sendAll } from "./phone/send.js";
import { Run, brokenOff, oneByOne, turnsOf } from "./run.js";
import { showWaiting } from "./waiting.js";

const ONE_BY_ONE = "carryover-one-by-one";

/** @typedef {{day: string, minutes: number, paused: boolean, turns: number[][]}} CarriedDay */

class PracticeToday extends HTMLElement {
  connectedCallback() {
    this.who = this.dataset.who ?? "";
    this.day = dayIn(this.dataset.zone ?? "");
    const waiting = this.querySelector("[data-waiting]");
    if (waiting) showWaiting(/** @type {HTMLElement} */ (waiting), this.who);
    livePhone((kept) => this.sayKept(kept));
    if (this.dataset.open === undefined) return;
    /** @type {CarriedDay[]} */
    this.days = JSON.parse(document.getElementById("carried")?.textContent ?? "[]");
    this.doing = JSON.parse(document.getElementById("doing")?.textContent ?? "{}");
    if (this.day !== this.dataset.day) this.turnTo(this.day);
    this.addEventListener("submit", (event) => this.tap(event));
    this.addEventListener("click", (event) => this.click(event));
    for (const button of this.querySelectorAll("[data-run], [data-start]")) /** @type {HTMLElement} */ (button).hidden = false;
    this.choice.checked = localStorage.getItem(ONE_BY_ONE) === "on";
    this.choice.addEventListener("change", () => localStorage.setItem(ONE_BY_ONE, this.choice.checked ? "on" : ""));
    onChange(() => this.draw());
    this.draw();
    const wanted = /^#run-(\d+)$/.exec(location.hash);
    if (wanted && this.doing[wanted[1]]) this.start(this.doing[wanted[1]]);
  }

  /** @returns {HTMLInputElement} */
  get choice() {
    return this.querySelector("[data-one-by-one]") ?? document.createElement("input");
  }

  get today() {
    return this.days?.find((one) => one.day === this.day);
  }

  /** The page was kept on another day: show this one's plan. @param {string} day */
  turnTo(day) {
    const planned = this.querySelector("[data-planned]");
    const others = this.querySelector("[data-others]");
    if (!planned || !others) return;
    const keys = [...new Set((this.today?.turns ?? []).map(([key]) => key))];
    for (const row of this.querySelectorAll("[data-drill]")) {
      (keys.includes(Number(this.keyOf(row))) ? planned : others).append(row);
      /** @type {HTMLElement} */ (row.querySelector("[data-done-words]")).hidden = true;
      const form = /** @type {HTMLFormElement | null} */ (row.querySelector("[data-tap]"));
      if (!form) continue;
      form.hidden = false;
      /** @type {HTMLInputElement} */ (form.elements.namedItem("client_id")).value = newId();
    }
    for (const key of keys) planned.append(/** @type {Element} */ (this.row(key)));
    const date = /** @type {HTMLElement} */ (this.querySelector("[data-date]"));
    date.textContent = new Date(`${day}T12:00:00`).toLocaleDateString("en-GB", { weekday: "long", day: "numeric", month: "long" });
    const drills = `${keys.length} drill${keys.length === 1 ? "" : "s"}, about ${this.today?.minutes} minutes`;
    this.say(keys.length ? drills : this.today?.paused ? "A day of rest" : "Nothing to do today");
    for (const one of this.querySelectorAll("[data-turns-words], .one-by-one")) /** @type {HTMLElement} */ (one).hidden = keys.length < 2;
    /** @type {HTMLElement} */ (this.querySelector("[data-others-block]")).hidden = !others.children.length;
    if (!keys.length) this.querySelector("[data-start]")?.remove();
  }

  /** @param {string} words */
  say(words) {
    /** @type {HTMLElement} */ (this.querySelector("[data-headline]")).textContent = words;
  }

  /** @param {Element} row */
  keyOf = (row) => /** @type {HTMLElement} */ (row).dataset.drill ?? "";

  /** @param {number | string} key */
  row = (key) => this.querySelector(`[data-drill="${key}"]`);

  /** 'Done' of one drill. @param {SubmitEvent} event */
  async tap(event) {
    const form = /** @type {HTMLFormElement} */ (event.target);
    if (!form.dataset.tap) return;
    event.preventDefault();
    const id = String(new FormData(form).get("client_id"));
    await this.keep(Number(form.dataset.tap), {}, id);
  }

  /** @param {number} key @param {Record<string, string>} said @param {string} [client_id] */
  async keep(key, said, client_id = newId()) {
    const name = document.getElementById(`run-${key}`)?.dataset.name ?? "";
    const isAgain = !(/** @type {HTMLElement} */ (this.row(key)?.querySelector("[data-done-words]")).hidden);
    await add({ client_id, who: this.who, assignment: key, name, day: dayIn(this.dataset.zone ?? ""), said, again: isAgain });
    sendAll();
  }

  /** @param {MouseEvent} event */
  click(event) {
    const button = /** @type {HTMLElement} */ (event.target).closest("[data-run], [data-start]");
    if (!(button instanceof HTMLElement)) return;
    const rows = button.dataset.run ? this.doing[button.dataset.run] : (this.today?.turns ?? []);
    this.start(rows, !button.dataset.run);
  }

  /** @param {number[][]} rows @param {boolean} [goOn] take up what was broken off */
  start(rows, goOn = false) {
    const turns = turnsOf(rows);
    const fresh = { who: this.who ?? "", day: this.day ?? "", turns: this.choice.checked ? oneByOne(turns) : turns, at: 0, amounts: [] };
    const state = (goOn && brokenOff(fresh.who, fresh.day)) || fresh;
    new Run(state, (key, said) => this.keep(key, said), () => this.draw()).show();
  }

  /** What is done, with what the site may not have yet. */
  async draw() {
    for (const log of await unknownTo(this.who ?? "", this.day ?? "", Number(this.dataset.made))) {
      const row = this.row(log.assignment);
      if (!row) continue;
      const words = /** @type {HTMLElement} */ (row.querySelector("[data-done-words]"));
      const form = /** @type {HTMLElement | null} */ (row.querySelector("[data-tap]"));
      words.hidden = false;
      if (form) form.hidden = true;
      const text = /** @type {HTMLElement} */ (words.querySelector("span"));
      text.textContent = log.state === "waiting" ? "Done today, waits for a signal" : "Done today";
    }
    const start = this.querySelector("[data-start]");
    const rows = [...this.querySelectorAll("[data-planned] [data-done-words]")];
    const isDone = rows.length > 0 && rows.every((words) => !(/** @type {HTMLElement} */ (words).hidden));
    if (isDone) this.say("Done for today");
    if (start) start.textContent = brokenOff(this.who ?? "", this.day ?? "") ? "Go on with practice" : isDone ? "Do it once more" : "Start practice";
    start?.classList.toggle("next", !isDone);
  }

  /** @param {{files: number, of: number, bytes: number}} kept */
  sayKept({ files, of, bytes }) {
    const words = /** @type {HTMLElement | null} */ (this.querySelector("[data-kept]"));
    const size = bytes < 100_000 ? "" : `, ${(bytes / 1e6).toFixed(1)} MB`;
    if (words) words.textContent = files < of ? `Works without a signal, but ${of - files} of ${of} pictures are missing.` : `Works without a signal${size}.`;
  }
}

customElements.define("practice-today", PracticeToday);
