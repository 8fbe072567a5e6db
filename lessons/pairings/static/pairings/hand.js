/** Fingers, pen and keys on a pairing: a short swipe steps, a long one scrubs, a tap plays. */
import { hearKeys } from "../clips/nobodys.js";
import { listenForSwipes } from "../clips/swipe.js";
import { meaningOf } from "./keys.js";

/** Until the answer is aborted, keys are heard. @param {any} beside the <swings-beside> @param {HTMLElement} stage */
export function followHand(beside, stage) {
  let from = 0;
  // While points are matched, the rings have the hand
  listenForSwipes(stage, {
    tap: () => beside.matching || beside.play(),
    step: (count) => beside.matching || beside.step(count),
    begin: () => (from = beside.clock),
    move: (seconds) => beside.matching || beside.goTo(from + seconds * 1e6),
  });
  stage.addEventListener("pointerdown", () => {
    beside.dataset.hand = ""; // the focus ring is for those who use keys
    if (!beside.matching) beside.focus({ preventScroll: true });
  });
  return hearKeys(beside, (event) => {
    delete beside.dataset.hand;
    const meaning = meaningOf(event);
    if (!meaning) return;
    event.preventDefault();
    if ("steps" in meaning) beside.step(meaning.steps);
    else if ("goes" in meaning) {
      if (meaning.goes in beside.clocks) beside.goTo(beside.clocks[meaning.goes]);
    } else beside.panel.act(meaning.does);
  });
}
