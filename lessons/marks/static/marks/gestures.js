/**
 * What a hand does between touching and letting go, one small object a gesture:
 * `move(point, event)` while it moves, `end()` when it lets go, `cancel()` when it is interrupted;
 * `aims` says that an exact place is meant, so that a touch gets the loupe.
 * @typedef {import("./geometry.js").Point} Point
 * @typedef {import("./shapes.js").Mark} Mark
 * @typedef {{move: (point: Point, straight: boolean, event: PointerEvent) => void, end: () => void, cancel: () => void, aims: boolean}} Gesture
 * @typedef {import("./board.js").MarkBoard} Board
 */
import { inside } from "./frame.js";
import { distance, simplify, straighten } from "./geometry.js";
import { dragged, moved, square } from "./handles.js";

const SLIP_PX = 5; // a hand that moves less on the screen has only tapped
const FIRST_WORDS = "Note";

/** Drag one end of a mark. @param {Board} board @param {Mark} mark @param {number} index @returns {Gesture} */
export function dragHandle(board, mark, index) {
  const { state, frame } = board;
  return {
    aims: true,
    move: (point, straight) => state.show(dragged(mark, index, inside(point, frame), straight)),
    end: () => state.settle(),
    cancel: () => state.abandon(),
  };
}

/** Move a whole mark, once the hand has moved far enough to mean it. @param {Board} board @param {Mark} mark @param {Point} from @returns {Gesture} */
export function moveMark(board, mark, from) {
  const { state, frame, view } = board;
  let meant = false;
  return {
    aims: false,
    move(point) {
      meant ||= distance(point, from) * view.scale > SLIP_PX;
      if (meant) state.show(moved(mark, point[0] - from[0], point[1] - from[1], frame));
    },
    end: () => state.settle(),
    cancel: () => state.abandon(),
  };
}

/** Move the picture under the hand. @param {Board} board @param {PointerEvent} start @returns {Gesture} */
export function pan(board, start) {
  let [x, y] = [start.clientX, start.clientY];
  return {
    aims: false,
    move(_, __, event) {
      board.view.panBy(event.clientX - x, event.clientY - y);
      [x, y] = [event.clientX, event.clientY];
    },
    end() {},
    cancel() {},
  };
}

/** Draw a line, arrow, box or ellipse from one end to the other. @param {Board} board @param {string} kind @param {Point} from @returns {Gesture} */
export function drawAcross(board, kind, from) {
  const { state, frame, view } = board;
  const mark = board.newMark(kind, [inside(from, frame), inside(from, frame)]);
  const keep = kind === "box" || kind === "ellipse" ? square : straighten;
  let far = 0;
  return {
    aims: true,
    move(point, straight) {
      const end = inside(straight ? keep(point, mark.points[0]) : point, frame);
      far = distance(mark.points[0], end) * view.scale;
      state.show({ ...mark, points: [mark.points[0], end] });
    },
    end() {
      if (far > SLIP_PX) board.finish(mark.id);
      else {
        state.abandon();
        board.tapped(from);
      }
    },
    cancel: () => state.abandon(),
  };
}

/** Draw by hand, as with a pencil. @param {Board} board @param {Point} from @returns {Gesture} */
export function drawFreehand(board, from) {
  const { state, frame, view } = board;
  const mark = board.newMark("freehand", [inside(from, frame)]);
  const points = [...mark.points];
  return {
    aims: false,
    move(_, __, event) {
      // All places that the hand passed since the last frame, not only the last one
      const passed = event.getCoalescedEvents?.() ?? [];
      for (const at of passed.length ? passed : [event]) {
        const point = inside(view.toPicture(at.clientX, at.clientY), frame);
        if (distance(point, points[points.length - 1]) * view.scale >= 2) points.push(point);
      }
      if (points.length > 1) state.show({ ...mark, points: [...points] });
    },
    end() {
      const kept = simplify(points, 0.6 / view.scale).slice(0, frame.constants.limits.points);
      if (kept.length < 2) {
        state.abandon();
        board.tapped(from);
        return;
      }
      state.show({ ...mark, points: kept });
      board.finish(mark.id);
    },
    cancel: () => state.abandon(),
  };
}

/**
 * An angle in two or three touches: drag from an arm's end to the corner (or tap both), then tap
 * or drag to where the other arm ends. `board.pending` is the angle between the touches.
 * @param {Board} board @param {Point} from @returns {Gesture}
 */
export function drawAngle(board, from) {
  const { state, frame, view } = board;
  const before = board.pending;
  const mark = before ?? board.newMark("angle", []);
  const first = inside(from, frame);
  const points = [...mark.points, first];
  let far = 0;
  /** @param {Point[]} shown */
  const show = (shown) => state.show({ ...mark, points: shown.length > 1 ? shown : [first, first] });
  show(points);
  return {
    aims: true,
    move(point, straight) {
      const last = points.length - 1;
      const fixed = last ? points[last - 1] : first;
      far = Math.max(far, distance(first, point) * view.scale);
      const end = inside(straight ? straighten(point, fixed) : point, frame);
      if (before) points[last] = end;
      else if (far > SLIP_PX) points[1] = end;
      show(points);
    },
    end() {
      board.pending = points.length < 3 ? { ...mark, points } : null;
      if (points.length === 3) board.finish(mark.id);
    },
    cancel() {
      board.pending = null;
      state.abandon();
    },
  };
}

/** Mark a spot; the hand may still move it before letting go. @param {Board} board @param {Point} from @returns {Gesture} */
export function putPoint(board, from) {
  const { state, frame } = board;
  const mark = board.newMark("point", [inside(from, frame)]);
  state.show(mark);
  return {
    aims: true,
    move: (point) => state.show({ ...mark, points: [inside(point, frame)] }),
    end: () => board.finish(mark.id),
    cancel: () => state.abandon(),
  };
}

/** Put words where the hand taps; it may still move them before letting go. @param {Board} board @param {Point} from @returns {Gesture} */
export function putLabel(board, from) {
  const { state, frame } = board;
  const mark = { ...board.newMark("label", [inside(from, frame)]), text: FIRST_WORDS };
  state.show(mark);
  return {
    aims: false,
    move: (point) => state.show({ ...mark, points: [inside(point, frame)] }),
    end() {
      board.finish(mark.id);
      board.askForWords();
    },
    cancel: () => state.abandon(),
  };
}

/** A mark of a kind put in the middle of what is shown, for those who draw by keyboard. @param {Board} board @param {string} kind @returns {Mark} */
export function putInMiddle(board, kind) {
  const [x, y] = board.view.centre;
  const r = Math.min(board.frame.width, board.frame.height) / (6 * board.view.zoom);
  /** @type {Point[]} */
  const points =
    kind === "label" || kind === "point" ? [[x, y]] : kind === "angle" ? [[x - r, y], [x, y], [x, y - r]] : [[x - r, y + r], [x + r, y - r]];
  return { ...board.newMark(kind, points), text: kind === "label" ? FIRST_WORDS : "" };
}
