/**
 * What the chosen mark measures: which number it says on the picture, against which line, a
 * ruler's known length, and how exactly the coach marks.
 * @typedef {import("./board.js").MarkBoard} Board
 * @typedef {import("./shapes.js").Mark} Mark
 */
import { LINES, byWords, knownCm, measuresOf, rulerOf, rulersOf, scaleOf, sentence } from "./measures.js";
import { namesOf } from "./names.js";
import { NumberField } from "./number-field.js";

/** @type {Record<string, [string, string][]>} */
const CHOICES = {
  line: [["level", "To the horizontal"], ["upright", "From the vertical"], ["length", "Length"], ["lines", "To another line"]],
  point: [["off", "Degrees off the line"], ["off_cm", "Centimetres off the line"]],
};
CHOICES.arrow = CHOICES.line;
const WANTS_SCALE = ["length", "off_cm"];
const WANTS_LINE = ["lines", "off", "off_cm"];
const POOR_SHARE = 0.1; // a scale less sure than this is worth saying so (a choice of ours)

export class Measuring {
  /** @param {Board} board */
  constructor(board) {
    this.board = board;
    const find = (/** @type {string} */ name) => /** @type {HTMLElement} */ (board.querySelector(name));
    this.list = find(".mark-measures");
    this.shows = /** @type {HTMLSelectElement} */ (find(".mark-shows select"));
    this.against = /** @type {HTMLSelectElement} */ (find(".mark-against select"));
    this.of = ""; // the mark that is shown
    this.isListing = false; // whether numbers are listed, which need their caution
    this.known = new NumberField(/** @type {HTMLInputElement} */ (find(".mark-known input")), find(".mark-known .mark-wrong"), {
      kept: () => (board.state.chosen?.length_mm ?? 0) / 10,
      keep: (cm) => this.change({ length_mm: Math.round(cm * 1000) / 100 }, `known ${board.state.chosenId}`),
      words: (cm) => `A known length is 1 to 300 cm. ${cm} cm is kept.`,
    });
    this.error = new NumberField(/** @type {HTMLInputElement} */ (find(".mark-error input")), find(".mark-error .mark-wrong"), {
      kept: () => board.sight.error_px,
      keep: (px) => this.setError(px),
      words: (px) => `It is 0.5 to 50 pixels, by halves. ${px} is kept.`,
    });
    this.counts = find(".mark-counts");
    this.shows.addEventListener("change", () => this.change({ shows: this.shows.value }));
    this.against.addEventListener("change", () => this.pickLine());
  }

  /** @param {Partial<Mark>} values */
  change(values, key = "") {
    const { state } = this.board;
    if (state.chosen) state.put({ ...state.chosen, ...values }, key);
  }

  /** A line chosen to measure against is what the mark then says. */
  pickLine() {
    const { chosen } = this.board.state;
    const against = this.against.value;
    if (!chosen) return;
    const wants = WANTS_LINE.includes(chosen.shows ?? "");
    const first = chosen.kind === "point" ? "off" : "lines";
    const shows = against ? (wants ? chosen.shows : first) : wants ? "" : chosen.shows;
    this.change({ against, shows });
  }

  /** @param {number} px */
  setError(px) {
    this.board.sight.error_px = px;
    this.board.scene.draw();
    this.show();
  }

  show() {
    const { state, sight } = this.board;
    const mark = state.chosen;
    const choices = mark ? (CHOICES[mark.kind] ?? []) : [];
    const lines = state.marks.filter((other) => LINES.includes(other.kind) && other.id !== mark?.id);
    const names = namesOf(state.marks);
    const hasScale = scaleOf(state.marks, sight) !== null;
    hide(this.shows, !choices.length);
    hide(this.against, !choices.length || !lines.length);
    hide(this.known.input, mark?.kind !== "ruler");
    this.counts.hidden = mark?.kind !== "ruler" || rulerOf(state.marks) === mark;
    if (this.of !== state.chosenId) this.known.say("");
    this.of = state.chosenId;
    this.list.hidden = !mark;
    this.isListing = false;
    if (!mark) return;
    const offered = choices.filter(
      ([name]) => name === mark.shows || ((hasScale || !WANTS_SCALE.includes(name)) && (mark.against || !WANTS_LINE.includes(name))),
    );
    fill(this.shows, [["", "Nothing"], ...offered], mark.shows ?? "");
    fill(this.against, [["", "No line"], ...lines.map((line) => /** @type {[string, string]} */ ([line.id, this.#nameOf(line, names)]))], mark.against ?? "");
    if (document.activeElement !== this.known.input) this.known.input.value = String((mark.length_mm ?? 0) / 10);
    const words = measuresOf(mark, state.marks, sight).map(sentence);
    this.isListing = words.length > 0;
    this.list.replaceChildren(...(words.length ? words : this.#nothing(mark)).map(item));
  }

  /** Why there is no number. @param {Mark} mark */
  #nothing(mark) {
    if (mark.kind === "ruler") return this.#scaleWords(mark);
    if (mark.kind === "point") return ["Draw a line, then choose it here to measure this point against it."];
    return mark.kind === "angle" || LINES.includes(mark.kind) ? ["Too short to measure. Draw it longer."] : [];
  }

  /** @param {Mark} ruler */
  #scaleWords(ruler) {
    const scale = scaleOf([ruler], this.board.sight);
    if (!scale) return ["Too short to measure with. Draw along something longer, or look closer."];
    const share = Math.max(1, Math.round(scale.share * 100));
    const isPoor = scale.share > POOR_SHARE;
    const poor = "So short a ruler makes poor centimetres. Draw along something longer, or look closer.";
    const worth = isPoor ? poor : "Lines can now be measured in centimetres.";
    const words = `${knownCm(ruler.length_mm ?? 0)} cm, so one centimetre is ${(10 / scale.mm).toFixed(1)} pixels, ±${share} %.`;
    const { marks } = this.board.state;
    const count = rulersOf(marks).length;
    if (count === 1) return [`${words} ${worth}`];
    if (rulerOf(marks)?.id !== ruler.id) return [isPoor ? `${words} ${poor}` : words, `Not in use: centimetres on this still are by ${byWords(marks)}.`];
    const why = ruler.shows === "scale" ? "as you chose" : "as the longest";
    return [`${words} ${worth}`, `Of the ${count} rulers on this still this one is in use, ${why}.`];
  }

  /** @param {Mark} line @param {Map<string, string>} names */
  #nameOf(line, names) {
    return `${names.get(line.id)}, ${this.board.frame.colours.get(line.colour).name}`;
  }
}

/** @param {HTMLElement} control @param {boolean} isHidden */
function hide(control, isHidden) {
  /** @type {HTMLElement} */ (control.closest("p")).hidden = isHidden;
}

/** @param {HTMLSelectElement} select @param {[string, string][]} options @param {string} value */
function fill(select, options, value) {
  const now = options.map(([name, words]) => new Option(words, name, false, name === value));
  const same = now.length === select.options.length && now.every((o, i) => o.value === select.options[i].value && o.text === select.options[i].text);
  if (!same) select.replaceChildren(...now);
  select.value = options.some(([name]) => name === value) ? value : "";
}

/** @param {string} words */
function item(words) {
  const li = document.createElement("li");
  li.textContent = words;
  return li;
}
