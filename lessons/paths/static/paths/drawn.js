/**
 * The boxes that a person drew and has not sent yet: one while a patch is boxed first, later one
 * at each frame that is set right. The page's form brings them back after a refusal.
 * @typedef {import("./box.js").Box} Box
 * @typedef {Box & {time_us: number}} Sent
 */
const SIDES = /** @type {const} */ (["x", "y", "width", "height"]);

/** What a form held when the page came: the boxes that were sent and refused. @param {HTMLElement} viewer @returns {Sent[]} */
export function refused(viewer) {
  const form = viewer.querySelector("[data-field=x]")?.closest("form");
  const value = (/** @type {string} */ name) => /** @type {HTMLInputElement | null} */ (form?.querySelector(`[data-field=${name}]`))?.value ?? "";
  const shown = { time_us: Number(value("time_us")), x: Number(value("x")), y: Number(value("y")), width: Number(value("width")), height: Number(value("height")) };
  return [...others(value("others")), shown].filter((box) => SIDES.every((side) => Number.isFinite(box[side])) && box.width > 0 && box.height > 0);
}

/** @param {string} text @returns {Sent[]} */
function others(text) {
  try {
    return text ? JSON.parse(text) : [];
  } catch {
    return [];
  }
}

/** Write what the viewer's form sends. @param {HTMLElement} viewer @param {number} timeUs of the box, if there is one @param {Box | null} box @param {Sent[]} more at other frames */
export function write(viewer, timeUs, box, more) {
  for (const field of /** @type {NodeListOf<HTMLInputElement>} */ (viewer.querySelectorAll("[data-field]"))) {
    const name = field.dataset.field ?? "";
    if (name === "others") field.value = more.length ? JSON.stringify(more.map(rounded)) : "";
    else if (name === "time_us") field.value = String(timeUs);
    else field.value = box ? String(cents(box[/** @type {typeof SIDES[number]} */ (name)])) : "";
  }
}

/** @param {Sent} box @returns {Sent} */
function rounded({ time_us, x, y, width, height }) {
  return { time_us, x: cents(x), y: cents(y), width: cents(width), height: cents(height) };
}

/** @param {number} value */
function cents(value) {
  return Math.round(value * 100) / 100;
}
