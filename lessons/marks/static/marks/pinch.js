/** Two fingers on the picture: the spot between them stays between them. */
import { distance } from "./geometry.js";

/**
 * @param {import("./view.js").View} view
 * @param {Map<number, PointerEvent>} down where each finger was before
 * @param {PointerEvent} event one of them, moved
 */
export function pinchStep(view, down, event) {
  const before = down.get(event.pointerId);
  const other = [...down.values()].find((finger) => finger.pointerId !== event.pointerId);
  if (!before || !other) return;
  view.panBy((event.clientX - before.clientX) / 2, (event.clientY - before.clientY) / 2);
  const wide = (/** @type {PointerEvent} */ finger) =>
    distance([finger.clientX, finger.clientY], [other.clientX, other.clientY]);
  const [x, y] = [(event.clientX + other.clientX) / 2, (event.clientY + other.clientY) / 2];
  if (wide(before) > 0) view.zoomTo((view.zoom * wide(event)) / wide(before), x, y);
}
