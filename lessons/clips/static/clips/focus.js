/**
 * Keeps the focus in the player: once it is touched, and while its lists are replaced. An answer brings every swing hidden,
 * so the button that was pressed can't take the focus before its swing is chosen again; and some
 * buttons go when they have been pressed.
 *
 * @param {HTMLElement} player
 * @returns {() => void} to be called once the new list is in order
 */
export function keepFocus(player) {
  /** @type {string | null} */
  let had = null;
  player.addEventListener("pointerdown", (event) => {
    player.dataset.hand = ""; // the focus ring is for those who use keys
    if (!/** @type {HTMLElement} */ (event.target).closest("input, button, a, summary, [role=slider]")) player.focus({ preventScroll: true });
  });
  player.addEventListener("htmx:beforeSwap", () => {
    const { activeElement } = document;
    had = activeElement && activeElement !== player && player.contains(activeElement) ? activeElement.id : null;
  });
  return () => {
    const lost = had !== null && (!document.activeElement || document.activeElement === document.body);
    const now = had ? document.getElementById(had) : null;
    had = null;
    if (!lost) return;
    now?.focus({ preventScroll: true });
    if (document.activeElement !== now) player.focus({ preventScroll: true });
  };
}
