/**
 * What stands round the drawing: tools, colours, the chosen mark's words, the list of marks, how
 * the saving stands. Reads the board, and changes nothing by itself.
 * @typedef {import("./board.js").MarkBoard} Board
 */
import { namesOf } from "./names.js";

const MEASURED = ["angle", "ruler"];

export class Panel {
  /** @param {Board} board */
  constructor(board) {
    this.board = board;
    const find = (/** @type {string} */ name) => /** @type {HTMLElement} */ (board.querySelector(name));
    this.hint = find(".mark-hint");
    this.status = find(".mark-status");
    this.field = find(".mark-words");
    this.input = /** @type {HTMLInputElement} */ (find(".mark-words input"));
    this.fieldName = find(".mark-words label");
    this.list = find(".mark-list ol");
    this.none = find(".mark-list p");
    this.count = find(".mark-count");
    this.caution = find(".mark-caution");
    this.conflict = find(".mark-conflict");
    this.tools = [...board.querySelectorAll("button[data-tool]")];
    this.colours = [...board.querySelectorAll("[data-colour]")];
  }

  show() {
    const { board } = this;
    const { state } = board;
    const chosen = state.chosen;
    for (const tool of this.tools) {
      const isOn = /** @type {HTMLElement} */ (tool).dataset.tool === board.tool;
      tool.setAttribute("aria-pressed", String(isOn));
      if (isOn) this.hint.textContent = /** @type {HTMLElement} */ (tool).dataset.hint ?? "";
    }
    for (const colour of this.colours) {
      const value = /** @type {HTMLElement} */ (colour).dataset.colour;
      colour.setAttribute("aria-pressed", String(value === (chosen?.colour ?? board.colour)));
    }
    this.#able("undo", state.past.length > 0 || board.laying !== null || board.pending !== null);
    this.#able("redo", state.future.length > 0);
    this.#able("delete", chosen !== null);
    this.#able("further", board.view.zoom > 1);
    this.#able("whole", board.view.zoom > 1);
    this.field.hidden = !chosen;
    this.fieldName.textContent = chosen?.kind === "label" ? "Words on the label" : "Name";
    if (chosen && document.activeElement !== this.input) this.input.value = chosen.text;
    board.measuring?.show();
    const isOnPicture = state.marks.some((mark) => mark.shows || MEASURED.includes(mark.kind));
    this.caution.hidden = !isOnPicture && !board.measuring?.isListing;
  }

  /** The marks as a list to choose from, also for those who don't see the drawing. */
  showList() {
    const { marks, chosenId } = this.board.state;
    this.count.textContent = marks.length === 1 ? "1 mark" : `${marks.length || "No"} marks`;
    this.none.hidden = marks.length > 0;
    const template = /** @type {HTMLTemplateElement} */ (this.board.querySelector(".mark-row"));
    const names = namesOf(marks);
    const rows = marks.map((mark) => {
      const name = names.get(mark.id) ?? "";
      const row = /** @type {HTMLElement} */ (/** @type {DocumentFragment} */ (template.content.cloneNode(true)).firstElementChild);
      const button = /** @type {HTMLButtonElement} */ (row.querySelector("button"));
      const swatch = /** @type {SVGElement} */ (row.querySelector("svg"));
      button.dataset.id = mark.id;
      button.setAttribute("aria-pressed", String(mark.id === chosenId));
      swatch.setAttribute("fill", mark.colour);
      /** @type {HTMLElement} */ (row.querySelector("span")).textContent = name;
      button.setAttribute("aria-label", `${name}, ${this.board.frame.colours.get(mark.colour).name}`);
      return row;
    });
    this.list.replaceChildren(...rows);
  }

  /** Choose a mark in the list, which is made anew: the focus stays on its row. @param {string} id */
  chooseRow(id) {
    this.board.laying?.keep();
    this.board.state.choose(id);
    /** @type {HTMLElement | null} */ (this.list.querySelector(`[data-id="${CSS.escape(id)}"]`))?.focus();
  }

  showSaving() {
    const { saving } = this.board;
    this.status.textContent = saving.words;
    this.status.dataset.tone = saving.tone;
    this.conflict.hidden = saving.theirs === null;
  }

  /** @param {string} name @param {boolean} isAble */
  #able(name, isAble) {
    for (const button of this.board.querySelectorAll(`[data-do="${name}"]`)) {
      /** @type {HTMLButtonElement} */ (button).disabled = !isAble;
    }
  }
}
