/**
 * The picture shown closer, round the box: for fingers that are larger than what they hold.
 * @typedef {import("./path-viewer.js").PathViewer} Viewer
 */
const CLOSER = 3;

/** Go closer, or back to the whole picture. @param {Viewer} viewer */
export function zoom(viewer) {
  const picture = /** @type {HTMLElement | null} */ (viewer.querySelector("[data-zoomed]"));
  const button = viewer.querySelector("[data-do=closer]");
  if (!picture || !viewer.svg || !viewer.drawing) return;
  const isClose = picture.toggleAttribute("data-close");
  button?.setAttribute("aria-pressed", String(isClose));
  picture.style.transform = "";
  if (isClose) {
    const box = viewer.drawing.box ?? viewer.usual;
    const at = new DOMPoint(box.x, box.y).matrixTransform(viewer.svg.getScreenCTM() ?? undefined);
    const whole = picture.getBoundingClientRect();
    // What lies at the origin stays where it is: a spot near an edge stays near it
    picture.style.transformOrigin = `${at.x - whole.left}px ${at.y - whole.top}px`;
    picture.style.transform = `scale(${CLOSER})`;
  }
  if (viewer.drawing.box) viewer.drawing.put(viewer.drawing.box, viewer.isChanged || !viewer.places);
}
