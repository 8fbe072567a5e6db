/** The recap's page as plain values: what is sent at each saving (see lessons/recaps/content.py). */

/** @param {HTMLElement} editor */
export function collect(editor) {
  return {
    main_point: value(editor, "main_point"),
    body: value(editor, "body"),
    findings: rows(editor, "findings").map((row) => ({
      key: row.dataset.row,
      what: value(row, "what"),
      why: value(row, "why"),
      ball: value(row, "ball"),
      standing: value(row, "standing"),
      came_from: number(row.dataset.cameFrom),
    })),
    stills: rows(editor, "stills").map((row) => ({
      still: number(row.dataset.still),
      caption: value(row, "caption"),
    })),
    drills: rows(editor, "drills").map((row) => ({
      key: row.dataset.row,
      drill: number(row.dataset.drill),
      sets: number(value(row, "sets")),
      reps: number(value(row, "reps")),
      minutes: number(value(row, "minutes")),
      days_a_week: number(value(row, "days_a_week")),
      note: value(row, "note"),
    })),
  };
}

/** The rows of a section that stand: without those removed. @param {HTMLElement} editor @param {string} name @returns {HTMLElement[]} */
export function rows(editor, name) {
  return [...editor.querySelectorAll(`[data-rows="${name}"] > [data-row]:not([data-removed])`)];
}

/** A random key for a new row or page (RFC 9562, version 4); also without a secure context. */
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

/** @param {HTMLElement} place @param {string} name */
function value(place, name) {
  const field = place.querySelector(`[name="${name}"]`);
  return /** @type {HTMLInputElement} */ (field).value;
}

/** @param {string | undefined} text @returns {number | null} */
function number(text) {
  return text ? Number(text) : null;
}
