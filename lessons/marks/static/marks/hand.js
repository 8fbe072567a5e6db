/**
 * Fingers, pens and mice on the drawing. One pointer draws, chooses and drags; two fingers move
 * and zoom the picture, and take back what the first one had begun.
 * @typedef {import("./board.js").MarkBoard} Board
 */
import { dragHandle, drawAcross, drawAngle, drawFreehand, moveMark, pan, putLabel, putPoint } from "./gestures.js";
import { handleAt } from "./handles.js";
import { dragRing } from "./laying.js";
import { pinchStep } from "./pinch.js";

// How near, in screen pixels, counts as touching: a finger hides what it touches
const REACH = { touch: { handle: 24, mark: 20 }, mouse: { handle: 14, mark: 9 } };

export class Hand {
  /** @param {Board} board @param {SVGSVGElement} svg */
  constructor(board, svg) {
    this.board = board;
    this.svg = svg;
    /** @type {Map<number, PointerEvent>} */
    this.down = new Map();
    /** @type {import("./gestures.js").Gesture | null} */
    this.gesture = null;
    svg.addEventListener("pointerdown", (event) => this.press(event));
    svg.addEventListener("pointermove", (event) => this.move(event));
    svg.addEventListener("pointerup", (event) => this.lift(event));
    svg.addEventListener("pointercancel", (event) => this.lift(event, true));
    svg.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
  }

  /** @param {PointerEvent} event */
  press(event) {
    if (event.pointerType === "mouse" && event.button > 1) return;
    event.preventDefault(); // no text chosen, no focus moved: it is moved below
    this.svg.setPointerCapture(event.pointerId);
    this.down.set(event.pointerId, event);
    this.svg.dataset.hand = ""; // the focus ring is for those who use keys
    this.board.drawingFocus();
    if (this.down.size > 1) {
      this.stop();
      return;
    }
    this.gesture = this.begin(event);
    if (this.gesture.aims) this.board.loupe.show(event);
  }

  /** What this touch means, from the tool and from what lies under it. @param {PointerEvent} event */
  begin(event) {
    const { board } = this;
    const point = board.view.toPicture(event.clientX, event.clientY);
    if (event.button === 1) return pan(board, event);
    if (board.laying) return dragRing(board, point, event) ?? pan(board, event);
    if (board.tool === "angle") return drawAngle(board, point);
    if (board.tool === "freehand") return drawFreehand(board, point);
    if (board.tool === "label") return putLabel(board, point);
    if (board.tool === "point") return putPoint(board, point);
    if (board.tool !== "choose") return drawAcross(board, board.tool, point);

    const reach = event.pointerType === "touch" ? REACH.touch : REACH.mouse;
    const chosen = board.state.chosen;
    const handle = chosen ? handleAt(chosen, point, reach.handle / board.view.scale) : -1;
    if (chosen && handle >= 0) return dragHandle(board, chosen, handle);
    const mark = board.markAt(point, reach.mark / board.view.scale);
    board.state.choose(mark?.id ?? "");
    return mark ? moveMark(board, mark, point) : pan(board, event);
  }

  /** @param {PointerEvent} event */
  move(event) {
    const before = this.down.get(event.pointerId);
    if (!before) {
      this.board.hover(event);
      return;
    }
    if (this.down.size > 1) pinchStep(this.board.view, this.down, event);
    this.down.set(event.pointerId, event);
    if (!this.gesture) return;
    this.gesture.move(this.board.view.toPicture(event.clientX, event.clientY), event.shiftKey, event);
    if (this.gesture.aims) this.board.loupe.show(event);
  }

  /** @param {PointerEvent} event */
  lift(event, interrupted = false) {
    if (!this.down.delete(event.pointerId)) return;
    this.board.loupe.hide();
    const gesture = this.gesture;
    this.gesture = null;
    if (interrupted) gesture?.cancel();
    else gesture?.end();
  }

  /** Take back what was begun. */
  stop() {
    this.gesture?.cancel();
    this.gesture = null;
    this.board.loupe.hide();
  }

  /** A pinch on a touch pad comes as a wheel with Ctrl; a plain wheel scrolls the page. @param {WheelEvent} event */
  wheel(event) {
    if (!event.ctrlKey) return;
    event.preventDefault();
    const { view } = this.board;
    view.zoomTo(view.zoom * Math.exp(-event.deltaY / 150), event.clientX, event.clientY);
  }
}
