/**
 * What the keys of a pairing mean, while the focus is in it or nowhere, and nobody types.
 * @typedef {{does: string} | {steps: number} | {goes: string}} Meaning
 */
const DOES = { " ": "play", k: "play", m: "mirror", o: "over", b: "by", r: "rings", u: "undo" };
const STEPS = { ",": -1, ".": 1 };
// On the track, as on every slider
const SLIDES = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10 };

/** @param {KeyboardEvent} event @returns {Meaning | null} */
export function meaningOf(event) {
  const { key } = event;
  const target = /** @type {HTMLElement} */ (event.target);
  if ((event.ctrlKey || event.metaKey) && key.toLowerCase() === "z") return { does: event.shiftKey ? "redo" : "undo" };
  if (event.ctrlKey || event.metaKey || event.altKey) return null;
  if (target.matches("[data-track] input")) return key in SLIDES ? { steps: SLIDES[key] } : other(key, event);
  const typing = target.matches("input:not([type=radio], [type=checkbox], [type=range]), textarea, select");
  const pressing = target.matches("button, a, summary, input") && (key === " " || key === "Enter");
  return typing || pressing ? null : other(key, event);
}

/** @param {string} key @param {KeyboardEvent} event @returns {Meaning | null} */
function other(key, event) {
  if (key in STEPS) return { steps: STEPS[key] };
  if (key in DOES && !event.repeat) return { does: DOES[key] };
  if (/^\d$/.test(key)) return { goes: `P${key === "0" ? 10 : key}` };
  return null;
}
