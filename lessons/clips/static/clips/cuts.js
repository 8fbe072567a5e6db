/**
 * The parts of a clip that can be stepped through, as the page lists them (data-cut elements).
 * Times are microseconds of the clip's clock; a cut's own time + its offset = clip time.
 *
 * @typedef {{beginUs: number, endUs: number, offsetUs: number, url: string, state: string, percent: number, reason: string, again: boolean}} Cut
 */

/** @param {HTMLElement} place @returns {Cut[]} */
export function readCuts(place) {
  return [...place.querySelectorAll("[data-cut]")].map((cut) => {
    const { beginUs, endUs, offsetUs, url, state, percent, reason, again } = /** @type {HTMLElement} */ (cut).dataset;
    return {
      beginUs: Number(beginUs),
      endUs: Number(endUs),
      offsetUs: Number(offsetUs),
      url: url ?? "",
      state: state ?? "",
      percent: Number(percent),
      reason: reason ?? "",
      again: again !== undefined,
    };
  });
}

/** The first of some cuts that holds a moment. @param {Cut[]} cuts @param {number} us */
export function cutAt(cuts, us) {
  return cuts.find((cut) => cut.beginUs <= us && us <= cut.endUs) ?? null;
}

/** Say on the player's page whether the moment it shows can be stepped. @param {HTMLElement} player @param {{words: string, ask: boolean} | null} said */
export function sayMissing(player, said) {
  const place = /** @type {HTMLElement} */ (player.querySelector("[data-unsteppable]"));
  place.hidden = !said;
  if (!said) return;
  /** @type {HTMLElement} */ (place.querySelector("[data-unsteppable-words]")).textContent = said.words;
  const ask = place.querySelector("[data-ask-cut]");
  if (ask instanceof HTMLElement) ask.hidden = !said.ask;
}

/**
 * What to say where the shown moment can't be stepped through frame by frame, and whether asking
 * for a cut there helps.
 * @param {Cut[]} cuts @param {number} us
 * @param {boolean} thinned whether the light picture leaves frames out here
 * @returns {{words: string, ask: boolean} | null}
 */
export function missing(cuts, us, thinned) {
  const here = cuts.filter((cut) => cut.beginUs <= us && us <= cut.endUs);
  if (here.some((cut) => cut.state === "ready")) return null;
  const making = here.find((cut) => cut.state === "making");
  if (making) return { words: `Every frame is being made ready here: ${making.percent} %.`, ask: false };
  const wanted = here.find((cut) => cut.state === "wanted");
  if (wanted) return { words: wanted.reason || "Every frame will be ready here soon.", ask: false };
  const failed = here.find((cut) => cut.state === "failed");
  if (failed) return { words: failed.reason, ask: here.some((cut) => cut.again) };
  if (here.length) return { words: "Making this part ready was cancelled.", ask: true };
  const less = thinned ? ", which leaves frames out" : "";
  return { words: `Frame by frame is ready for the swings only; this is the light picture${less}.`, ask: true };
}
