/**
 * What the keys do while the drawing or a tool has the focus, or nothing on a page with no other
 * drawing. Where somebody types, chooses from a list or reads a dialog, they do nothing.
 * @typedef {import("./board.js").MarkBoard} Board
 */
import { inside } from "./frame.js";
import { putInMiddle } from "./gestures.js";
import { dragged, handlesOf, moved } from "./handles.js";

const STEP_PX = 1; // on the screen; with Shift
const LEAP_PX = 10;
/** @type {Record<string, [number, number]>} */
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/** Let the keys do what they mean, until the answer is aborted. @param {Board} board */
export function listenForKeys(board) {
  const until = new AbortController();
  const { signal } = until;
  board.addEventListener("keydown", (event) => pressed(board, event) && event.preventDefault(), { signal });
  document.addEventListener("keydown", (event) => isMeant(board, event) && pressed(board, event) && event.preventDefault(), { signal });
  return until;
}

/** Whether a key that nothing inside the page was given is for this drawing. @param {Board} board @param {KeyboardEvent} event */
function isMeant(board, event) {
  const isNobodys = event.target !== board && /** @type {Element} */ (event.target).contains(board);
  if (!isNobodys || event.defaultPrevented || !board.getClientRects().length) return false;
  return document.querySelectorAll(board.localName).length === 1 && !document.querySelector("dialog[open]");
}

/** @param {Board} board @param {KeyboardEvent} event @returns {boolean} whether the key meant something */
function pressed(board, event) {
  const target = /** @type {Element} */ (event.target);
  if (event.altKey || target.closest("input, dialog")) return false;
  const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  if (event.ctrlKey || event.metaKey) {
    if (key === "z") return board.act(event.shiftKey ? "redo" : "undo");
    return key === "y" && board.act("redo");
  }
  if (target.closest("select")) return false; // letters and digits go to an entry of the list
  delete board.svg.dataset.hand;
  const tool = board.querySelector(`[data-tool][data-key="${CSS.escape(key)}"]`);
  if (tool instanceof HTMLElement) {
    board.setTool(/** @type {string} */ (tool.dataset.tool));
    return true;
  }
  if (key === "Delete" || key === "Backspace") return board.act("delete");
  if (key === "Escape") return board.act("leave");
  if (key === "+" || key === "=") return board.act("closer");
  if (key === "-") return board.act("further");
  if (key === "0") return board.act("whole");
  if (key === "?") return board.act("keys");
  if (board.laying && target instanceof SVGElement) {
    if (key === "Enter") return board.laying.nextRing();
    return key in ARROWS && board.laying.nudge(ARROWS[key], (event.shiftKey ? LEAP_PX : STEP_PX) / board.view.scale);
  }
  if (!(target instanceof SVGElement)) return false;
  if (key === "Enter") return enter(board);
  return key in ARROWS && nudge(board, ARROWS[key], event.shiftKey ? LEAP_PX : STEP_PX);
}

/** With a drawing tool: put a mark in the middle. On a chosen mark: take its next end. @param {Board} board */
function enter(board) {
  const { state, scene } = board;
  if (board.tool !== "choose" && board.tool !== "freehand") {
    const mark = putInMiddle(board, board.tool);
    state.show(mark);
    board.finish(mark.id);
    if (mark.kind === "label") board.askForWords();
    return true;
  }
  const mark = state.chosen;
  if (!mark) return false;
  if (mark.kind === "label") board.askForWords();
  const ends = handlesOf(mark).length;
  scene.handle = ends ? ((scene.handle + 2) % (ends + 1)) - 1 : -1;
  scene.drawHandles();
  return true;
}

/** @param {Board} board @param {[number, number]} way @param {number} px */
function nudge(board, way, px) {
  const { state, scene, view, frame } = board;
  const mark = state.chosen;
  if (!mark) return false;
  const [dx, dy] = [(way[0] * px) / view.scale, (way[1] * px) / view.scale];
  const held = scene.handle;
  if (held < 0) {
    state.put(moved(mark, dx, dy, frame), `move ${mark.id}`);
    return true;
  }
  const [x, y] = handlesOf(mark)[held];
  const now = dragged(mark, held, inside([x + dx, y + dy], frame), false);
  // A box's corners are named anew when one is dragged: the held one is then opposite the first
  if (mark.kind === "box" || mark.kind === "ellipse") scene.handle = 2;
  state.put(now, `end ${mark.id} ${scene.handle}`);
  return true;
}
