/**
 * The list of what can be laid over this still (templates/marks/_sets.html), and what stands
 * below the picture while it is being laid.
 * @typedef {import("./board.js").MarkBoard} Board
 */
import { Laying } from "./laying.js";

const LOST = "Those marks could not be fetched. Check the connection and try again.";

export class Shelf {
  /** @param {Board} board */
  constructor(board) {
    this.board = board;
    this.dialog = /** @type {HTMLDialogElement} */ (board.querySelector(".mark-sets"));
    this.bar = /** @type {HTMLElement} */ (board.querySelector(".mark-laying"));
    this.pairs = /** @type {HTMLSelectElement} */ (this.bar.querySelector("select"));
    this.ownRuler = /** @type {HTMLElement} */ (this.bar.querySelector(".mark-own-ruler"));
    this.pairs.addEventListener("change", () => board.laying?.pair(this.pairs.selectedIndex));
  }

  /** What is drawn is sent first, so that it can be kept as a set. */
  async open() {
    this.dialog.showModal();
    await this.board.saving.send();
    this.dialog.querySelector("[data-sets]")?.dispatchEvent(new CustomEvent("wanted"));
  }

  /** @param {string} url */
  async lay(url) {
    const said = this.dialog.querySelector("[role=status]");
    try {
      const answer = await fetch(url, { headers: { Accept: "application/json" } });
      if (!answer.ok) throw new TypeError(answer.statusText);
      const { marks, width, height } = await answer.json();
      this.dialog.close();
      this.board.laying = new Laying(this.board, marks, width, height);
    } catch (error) {
      if (!(error instanceof TypeError || error instanceof SyntaxError)) throw error;
      if (!said) return;
      said.textContent = LOST;
      said.scrollIntoView({ block: "nearest" });
      return;
    }
    this.show();
    this.board.drawingFocus();
    this.board.svg.scrollIntoView({ block: "nearest" });
  }

  show() {
    const { laying } = this.board;
    this.bar.hidden = laying === null;
    if (!laying) return;
    this.ownRuler.hidden = !laying.keepsRuler;
    this.pairs.replaceChildren(...laying.names.map((name) => new Option(name)));
    this.board.panel.show();
  }
}
