/** Fingers, pen and keys on a pairing: a short swipe steps, a long one scrubs, a tap plays. */
import { listenForSwipes } from "../clips/swipe.js";
import { meaningOf } from "./keys.js";

/** @param {any} beside the <swings-beside> @param {HTMLElement} stage */
export function followHand(beside, stage) {
  let from = 0;
  // While points are matched, the rings have the hand
  listenForSwipes(stage, {
    tap: () => beside.matching || beside.play(),
    step: (count) => beside.matching || beside.step(count),
    begin: () => (from = beside.clock),
    move: (seconds) => beside.matching || beside.goTo(from + seconds * 1e6),
  });
  stage.addEventListener("pointerdown", () => beside.matching || beside.focus({ preventScroll: true }));
  beside.addEventListener("keydown", (/** @type {KeyboardEvent} */ event) => {
    const meaning = meaningOf(event);
    if (!meaning) return;
    event.preventDefault();
    if ("steps" in meaning) beside.step(meaning.steps);
    else if ("goes" in meaning) {
      if (meaning.goes in beside.clocks) beside.goTo(beside.clocks[meaning.goes]);
    } else beside.panel.act(meaning.does);
  });
}
