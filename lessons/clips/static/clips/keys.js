/**
 * What the player's keys mean. They count only while the focus is in the player, and never where
 * somebody types or presses a button.
 *
 * @typedef {{does: string} | {steps: number} | {goes: number} | {takes: string} | {sets: string}} Meaning
 *   a button's data-do; frames to step; a share of the clip to go to; a position to take; a point
 *   of the swing to set
 */

const DOES = { " ": "play", k: "play", ",": "back", ".": "forth", "[": "from", "]": "to", l: "loop", s: "speed", n: "next", p: "previous", o: "over" };
const SETS = { b: "begin", t: "top", i: "strike", f: "finish" };
// On the frame strip, as on every slider
const STEPS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10 };
const GOES = { Home: 0, End: 1 };

/** @param {KeyboardEvent} event @returns {Meaning | null} */
export function meaningOf(event) {
  const { key } = event;
  const target = /** @type {HTMLElement} */ (event.target);
  const typing = target.matches("input:not([type=radio]), textarea, select");
  const pressing = target.matches("button, a, summary") && (key === " " || key === "Enter");
  if (typing || pressing || event.ctrlKey || event.metaKey || event.altKey) return null;
  if (target.matches("[data-film]")) {
    if (key in STEPS) return { steps: STEPS[key] };
    if (key in GOES) return { goes: GOES[key] };
  }
  if (key in DOES) return { does: DOES[key] };
  if (key in SETS && !event.repeat) return { sets: SETS[key] };
  if (/^\d$/.test(key) && !event.repeat) return { takes: `P${key === "0" ? 10 : key}` };
  return null;
}
