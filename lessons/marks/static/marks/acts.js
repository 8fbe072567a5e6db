/**
 * What the buttons round the drawing do, and the keys that stand for them.
 * @typedef {import("./board.js").MarkBoard} Board
 */

const CLOSER = 1.5; // a tap on the zoom button
const LAYING = new Set(["keepLaid", "leaveLaid", "keys"]);
const LOOKING = new Set(["closer", "further", "whole"]);

/** @type {Record<string, (board: Board, wasPending: boolean) => void>} */
const ACTS = {
  lay: (board) => void board.shelf.open(),
  keepLaid: (board) => board.laying?.keep(),
  leaveLaid: (board) => board.laying?.leave(),
  undo: ({ state }, wasPending) => wasPending || state.undo(),
  redo: ({ state }) => state.redo(),
  delete(board) {
    if (!board.state.chosen) return;
    board.state.remove(board.state.chosenId);
    board.drawingFocus();
  },
  leave(board, wasPending) {
    if (wasPending) return;
    if (board.tool === "choose") board.state.choose("");
    board.setTool("choose");
  },
  closer: ({ view }) => view.zoomBy(CLOSER),
  further: ({ view }) => view.zoomBy(1 / CLOSER),
  whole: ({ view }) => view.fit(),
  keys: (board) => /** @type {HTMLDialogElement} */ (board.querySelector("dialog")).showModal(),
  byRuler({ state }) {
    const counts = (/** @type {import("./shapes.js").Mark} */ mark) => (mark.id === state.chosenId ? "scale" : "");
    state.replace(state.marks.map((mark) => (mark.kind === "ruler" ? { ...mark, shows: counts(mark) } : mark)));
  },
  mine: ({ saving, state }) => saving.keepMine(state.marks),
  theirs({ saving, state, panel }) {
    state.adopt(saving.takeTheirs());
    panel.showList();
  },
};

/** Looking closer leaves a begun angle open; anything else takes it back first. @param {Board} board @param {string} name */
export function act(board, name) {
  const wasPending = board.pending !== null;
  if (!LOOKING.has(name)) {
    board.dropPending();
    if (board.laying && !LAYING.has(name)) {
      // Undo and Escape take back what is being laid over; anything else keeps it first
      if (name === "undo" || name === "leave") return board.laying.leave();
      board.laying.keep();
    }
  }
  ACTS[name](board, wasPending);
}

/** Do what a button says. One that can't be pressed any more would leave the keys with nobody. @param {Board} board @param {HTMLButtonElement} button */
export function press(board, button) {
  board.act(button.dataset.do ?? "");
  if (button.disabled || !button.getClientRects().length) board.drawingFocus();
}
