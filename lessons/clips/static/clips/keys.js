/**
 * What the player's keys mean. They count while the focus is in the player, or nowhere on a page
 * with one player, and never where somebody types or presses a button.
 *
 * @typedef {{does: string} | {steps: number} | {goes: number} | {places: string} | {visits: string} | {presses: string}} Meaning
 *   a button's data-do; frames to step; a share of the clip to go to; the position that the shown
 *   frame is; a position to show; a button of the swing to press
 */
import { hearKeys } from "./nobodys.js";

const DOES = { " ": "play", k: "play", ",": "back", ".": "forth", "[": "from", "]": "to", l: "loop", s: "speed", n: "next", p: "previous", o: "over" };
// The begin, top, impact and finish of a swing by their letters too
const PLACES = { b: "P1", t: "P4", i: "P7", f: "P10" };
const PRESSES = { a: "all", u: "undo" };
// On the frame strip, as on every slider
const STEPS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10 };
const GOES = { Home: 0, End: 1 };

/** @param {KeyboardEvent} event @returns {Meaning | null} */
function meaningOf(event) {
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
  if (key in PLACES && !event.repeat) return { places: PLACES[key] };
  if (key in PRESSES && !event.repeat) return { presses: PRESSES[key] };
  const digit = /^Digit(\d)$/.exec(event.code)?.[1] ?? /^\d$/.exec(key)?.[0];
  if (digit && !event.repeat) {
    const position = `P${digit === "0" ? 10 : digit}`;
    return event.shiftKey ? { visits: position } : { places: position };
  }
  return null;
}

/** Let a player's keys do what they mean, until the answer is aborted. @param {import("./clip-player.js").ClipPlayer} player */
export function listenForKeys(player) {
  return hearKeys(player, (event) => {
    delete player.dataset.hand;
    const { videos, swings } = player;
    const meant = meaningOf(event);
    if (!meant || !videos?.frames || !swings) return;
    if ("does" in meant) player.do(meant.does);
    if ("steps" in meant) void videos.step(meant.steps);
    if ("goes" in meant) player.goToTime(meant.goes * videos.frames.durationUs);
    if ("places" in meant) swings.setPlace(meant.places, videos.frames.begins(videos.shown));
    if ("visits" in meant) swings.visit(meant.visits);
    if ("presses" in meant) swings.press(meant.presses);
    event.preventDefault();
  });
}
