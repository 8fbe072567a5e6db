/** The rows of a recap's sections: added, moved, removed and brought back. */
import { newKey, rows } from "./page-state.js";

/** A new row from the section's pattern, at its end. @param {HTMLElement} editor @param {string} name @param {string} [key] */
export function addRow(editor, name, key = newKey()) {
  const pattern = /** @type {HTMLTemplateElement} */ (editor.querySelector(`[data-new="${name}"]`));
  const row = /** @type {HTMLElement} */ (
    /** @type {DocumentFragment} */ (pattern.content.cloneNode(true)).querySelector("[data-row]")
  );
  row.dataset.row = key;
  editor.querySelector(`[data-rows="${name}"]`)?.append(row);
  return row;
}

/** @param {HTMLElement} editor */
export function addFinding(editor) {
  const row = addRow(editor, "findings");
  const what = row.querySelector("[name=what]");
  if (what instanceof HTMLElement) what.focus();
}

/** Give the drill that is chosen in the library, with its usual dose. @param {HTMLElement} editor */
export function giveDrill(editor) {
  const library = editor.querySelector("[data-library]");
  const drill = library instanceof HTMLSelectElement ? library.selectedOptions[0] : null;
  if (!drill) return;
  const row = addRow(editor, "drills");
  row.dataset.drill = drill.value;
  title(row, drill.text);
  const dose = { sets: "sets", reps: "reps", minutes: "minutes", days_a_week: "days" };
  for (const [name, from] of Object.entries(dose)) {
    const field = /** @type {HTMLInputElement} */ (row.querySelector(`[name="${name}"]`));
    field.value = drill.dataset[from] ?? "";
  }
}

/** Put a still in the recap; one that was removed comes back. @param {HTMLElement} editor @param {HTMLElement} button */
export function putStill(editor, button) {
  const still = button.dataset.putStill ?? "";
  const there = editor.querySelector(`[data-rows="stills"] > [data-still="${still}"]`);
  if (there instanceof HTMLElement) {
    show(there);
    return there;
  }
  const row = addRow(editor, "stills", `still-${still}`);
  row.dataset.still = still;
  title(row, button.dataset.title ?? "");
  const caption = /** @type {HTMLTextAreaElement} */ (row.querySelector("[name=caption]"));
  caption.value = button.dataset.caption ?? "";
  const picture = /** @type {HTMLImageElement} */ (row.querySelector("img"));
  picture.src = button.dataset.picture ?? "";
  return row;
}

/** Hide the stills of the list that are in the recap already, and say so on the stage. @param {HTMLElement} editor */
export function showReadyStills(editor) {
  const taken = new Set(rows(editor, "stills").map((row) => row.dataset.still));
  let left = 0;
  for (const button of editor.querySelectorAll("[data-ready-stills] [data-put-still]")) {
    const isTaken = taken.has(/** @type {HTMLElement} */ (button).dataset.putStill);
    const item = button.closest("li");
    if (item) item.hidden = isTaken;
    if (!isTaken) left += 1;
  }
  for (const button of document.querySelectorAll("button[data-put-still]")) {
    if (!(button instanceof HTMLButtonElement) || editor.contains(button)) continue;
    button.disabled = taken.has(button.dataset.putStill);
    button.textContent = button.disabled ? "It is in the recap" : "Put in the recap";
  }
  const words = editor.querySelector("[data-not-yet]");
  if (words instanceof HTMLElement) words.hidden = left === 0;
}

/** @param {HTMLElement} row */
export function remove(row) {
  row.dataset.removed = "";
  parts(row).removed.hidden = false;
  parts(row).undo.focus();
}

/** @param {HTMLElement} row */
export function show(row) {
  const hadFocus = row.contains(document.activeElement);
  delete row.dataset.removed;
  parts(row).removed.hidden = true;
  if (hadFocus) /** @type {HTMLElement | null} */ (row.querySelector("[name]"))?.focus();
}

/** Past the next row that stands. @param {HTMLElement} row @param {number} by -1 up, 1 down @returns {boolean} */
export function move(row, by) {
  const side = by < 0 ? "previousElementSibling" : "nextElementSibling";
  let other = row[side];
  while (other instanceof HTMLElement && "removed" in other.dataset) other = other[side];
  if (!other) return false;
  if (by < 0) other.before(row);
  else other.after(row);
  return true;
}

/** @param {HTMLElement} row @param {string} words */
function title(row, words) {
  const place = row.querySelector("[data-title]");
  if (place) place.textContent = words;
}

/** @param {HTMLElement} row */
function parts(row) {
  return {
    removed: /** @type {HTMLElement} */ (row.querySelector(".removed")),
    undo: /** @type {HTMLElement} */ (row.querySelector("[data-undo]")),
  };
}
