/**
 * Marks laid over from elsewhere, brought to their size and place by two matching points: two
 * rings that a hand drags to where the same points are on this picture. One step to undo.
 * @typedef {import("./board.js").MarkBoard} Board
 * @typedef {import("./geometry.js").Point} Point
 * @typedef {import("./shapes.js").Mark} Mark
 */
import { inside } from "./frame.js";
import { between, distance } from "./geometry.js";
import { keepScale, rulersOf } from "./measures.js";
import { namesOf } from "./names.js";
import { furthest, similarity } from "./similarity.js";
import { newId } from "./state.js";

const REACH_PX = { touch: 28, mouse: 16 };
const CLOSEST_PX = 12; // nearer than this on the screen the rings can't be told apart
const PAIRED = ["line", "arrow", "ruler", "angle"];

export class Laying {
  /** @param {Board} board @param {Mark[]} marks as they were drawn @param {number} width of the picture they were drawn on @param {number} height */
  constructor(board, marks, width, height) {
    this.board = board;
    // A ruler that is there goes on counting: laying changes no number
    const [under, over] = keepScale(board.state.marks, renamed(marks));
    this.under = under;
    this.marks = over;
    this.keepsRuler = rulersOf(under).length > 0 && rulersOf(over).length > 0;
    this.ring = 0;
    const points = this.marks.flatMap((mark) => mark.points);
    this.pairs = [furthest(points.length > 1 ? points : [[0, 0], [width, height]])];
    const paired = this.marks.filter((mark) => PAIRED.includes(mark.kind));
    for (const { points: ends } of paired) this.pairs.push([ends[0], ends[ends.length - 1]]);
    const names = namesOf(this.marks);
    this.names = ["The outermost points", ...paired.map((mark) => `Ends of ${names.get(mark.id)}`)];
    this.from = this.pairs[0];
    // At first as large a part of the picture as it was of the other one
    const by = Math.min(board.frame.width / width, board.frame.height / height);
    /** @type {(point: Point) => Point} */
    this.fit = ([x, y]) => [x * by, y * by];
    this.to = /** @type {[Point, Point]} */ (this.from.map((p) => inside(this.fit(p), board.frame)));
    board.state.choose("");
    board.toggleAttribute("data-laying", true);
    this.show();
  }

  show() {
    const { board } = this;
    this.fit = similarity(this.from, this.to);
    board.scene.rings = this.to;
    board.scene.handle = this.ring;
    const over = this.marks.map((mark) => ({ ...mark, points: mark.points.map((p) => round(this.fit(p))) }));
    board.state.showAll([...this.under, ...over]);
  }

  /** Other points to match: they are where the marks have brought them. @param {number} index */
  pair(index) {
    this.from = this.pairs[index];
    this.to = /** @type {[Point, Point]} */ (this.from.map((p) => inside(this.fit(p), this.board.frame)));
    this.show();
  }

  /** @param {number} ring @param {Point} point */
  put(ring, point) {
    const at = inside(point, this.board.frame);
    if (distance(at, this.to[1 - ring]) * this.board.view.scale < CLOSEST_PX) return;
    this.ring = ring;
    this.to = ring ? [this.to[0], at] : [at, this.to[1]];
    this.show();
  }

  nextRing() {
    this.ring = 1 - this.ring;
    this.show();
    return true;
  }

  /** @param {[number, number]} way @param {number} px of the picture */
  nudge(way, px) {
    const [x, y] = this.to[this.ring];
    this.put(this.ring, [x + way[0] * px, y + way[1] * px]);
    return true;
  }

  keep() {
    this.#end();
    this.board.state.settle();
    this.board.panel.show();
  }

  leave() {
    this.#end();
    this.board.state.abandon();
    this.board.panel.show();
  }

  #end() {
    this.board.laying = null;
    this.board.removeAttribute("data-laying");
    this.board.scene.rings = null;
    this.board.scene.handle = -1;
    this.board.scene.drawHandles();
    this.board.shelf?.show();
  }
}

/** Drag a ring, if one lies under the hand. @param {Board} board @param {Point} point @param {PointerEvent} event @returns {import("./gestures.js").Gesture | null} */
export function dragRing(board, point, event) {
  const { laying } = board;
  if (!laying) return null;
  const reach = (event.pointerType === "touch" ? REACH_PX.touch : REACH_PX.mouse) / board.view.scale;
  const [near, far] = laying.to.map((ring) => distance(ring, point));
  const ring = near <= far ? 0 : 1;
  if (Math.min(near, far) > reach) return null;
  const before = laying.to[ring];
  return {
    aims: true,
    move: (at) => laying.put(ring, at),
    end() {},
    cancel: () => laying.put(ring, before),
  };
}

/** The marks under names of their own; what they are measured against goes with them. @param {Mark[]} marks @returns {Mark[]} */
function renamed(marks) {
  const names = new Map(marks.map((mark) => [mark.id, newId()]));
  return marks.map((mark) => {
    const own = { ...mark, id: /** @type {string} */ (names.get(mark.id)) };
    return mark.against ? { ...own, against: names.get(mark.against) ?? mark.against } : own;
  });
}

/** @param {Point} point @returns {Point} */
function round([x, y]) {
  return [between(Math.round(x * 100) / 100, -1e5, 1e5), between(Math.round(y * 100) / 100, -1e5, 1e5)];
}
