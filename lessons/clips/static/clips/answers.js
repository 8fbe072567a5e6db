/**
 * What the answers to the player's forms mean: a taken caption is done with, and what was not
 * taken goes back to where it was.
 *
 * @param {HTMLElement} player @param {() => void} putBack
 */
export function listenForAnswers(player, putBack) {
  player.addEventListener("htmx:afterRequest", (event) => {
    const { successful, elt } = /** @type {CustomEvent} */ (event).detail;
    if (successful && elt.matches(".take-caption")) elt.caption.value = "";
    if (!successful && elt.matches("[data-places]")) putBack();
  });
}
