/**
 * The keys of the picture: step a frame, move and size the box.
 * @typedef {import("./path-viewer.js").PathViewer} Viewer
 */
const MOVES = /** @type {Record<string, [number, number]>} */ ({
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
});
const FAST = 10;
const SIZES = /** @type {Record<string, number>} */ ({ "+": 4, "=": 4, "-": -4, "−": -4 });

/** Do what a key means; says whether it meant something. @param {Viewer} viewer @param {KeyboardEvent} event */
export function pressed(viewer, event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return false;
  const target = /** @type {HTMLElement} */ (event.target);
  if (target.closest("input:not([type=radio])")) return false;
  if (event.key === "," || event.key === ".") {
    viewer.do(event.key === "," ? "back" : "forth");
    return true;
  }
  if (event.key === "n" && viewer.dataset.lost) {
    viewer.do("lost");
    return true;
  }
  if (event.key === "c") {
    viewer.do("closer");
    return true;
  }
  if (target !== /** @type {unknown} */ (viewer.svg) || !viewer.drawing) return false;
  delete viewer.svg?.dataset.hand;
  if (event.key === "Escape" && viewer.isChanged && viewer.places) {
    viewer.do("leave");
    return true;
  }
  const box = viewer.drawing.box ?? viewer.usual;
  const move = MOVES[event.key];
  const size = SIZES[event.key];
  if (move) {
    const far = event.shiftKey ? FAST : 1;
    viewer.changed(viewer.drawing.within({ ...box, x: box.x + move[0] * far, y: box.y + move[1] * far }));
  } else if (size) {
    viewer.changed(viewer.drawing.within({ ...box, width: box.width + size, height: box.height + size }));
  } else if (event.key === "Enter") {
    viewer.changed(viewer.drawing.within(box));
  }
  return Boolean(move || size || event.key === "Enter");
}
