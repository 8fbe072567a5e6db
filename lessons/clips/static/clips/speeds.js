/** How fast the player plays, as its radio buttons say: 1 is as fast as in life. */

/** @param {HTMLElement} player @returns {HTMLInputElement[]} */
const speeds = (player) => [...player.querySelectorAll("input[name=speed]")].map((speed) => /** @type {HTMLInputElement} */ (speed));

/** @param {HTMLElement} player */
export function speedOf(player) {
  return Number(speeds(player).find((speed) => speed.checked)?.value ?? 1);
}

/** Choose the next slower one; after the slowest the first. @param {HTMLElement} player */
export function nextSpeed(player) {
  const all = speeds(player);
  const next = all[(all.findIndex((speed) => speed.checked) + 1) % all.length];
  next.checked = true;
  next.dispatchEvent(new Event("change", { bubbles: true }));
}
