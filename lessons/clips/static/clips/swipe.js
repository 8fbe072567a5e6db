/**
 * Swipes on the picture, as if a film were pulled through under the finger: a short swipe to the
 * left is one frame on, to the right one frame back; a long one moves along, a second of the clip
 * for the width of the picture. A tap plays or pauses.
 *
 * @param {HTMLElement} picture
 * @param {{tap: () => void, step: (count: number) => void, begin: () => void, move: (seconds: number) => void}} moves
 */
export function listenForSwipes(picture, moves) {
  const STARTS_PX = 10;
  const LONG_PX = 72;
  /** @type {{x: number, y: number, id: number, long: boolean, moved: boolean} | null} */
  let swipe = null;

  picture.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || !event.isPrimary) return;
    swipe = { x: event.clientX, y: event.clientY, id: event.pointerId, long: false, moved: false };
  });

  picture.addEventListener("pointermove", (event) => {
    if (!swipe || event.pointerId !== swipe.id) return;
    const dx = event.clientX - swipe.x;
    if (!swipe.moved && Math.hypot(dx, event.clientY - swipe.y) > STARTS_PX) {
      swipe.moved = true;
      picture.setPointerCapture(event.pointerId);
    }
    if (!swipe.long && Math.abs(dx) > LONG_PX) {
      swipe.long = true;
      swipe.x = event.clientX;
      moves.begin();
      return;
    }
    if (swipe.long) moves.move(-dx / picture.clientWidth);
  });

  picture.addEventListener("pointerup", (event) => {
    if (!swipe || event.pointerId !== swipe.id) return;
    const dx = event.clientX - swipe.x;
    const dy = event.clientY - swipe.y;
    if (!swipe.moved) moves.tap();
    else if (!swipe.long && Math.abs(dx) > Math.abs(dy)) moves.step(dx < 0 ? 1 : -1);
    swipe = null;
  });

  picture.addEventListener("pointercancel", () => {
    swipe = null;
  });
}
