/** Moving rows with the mouse, by their handle; fingers and keys use the buttons beside it. */

/** @param {HTMLElement} editor @param {() => void} moved */
export function dragRows(editor, moved) {
  /** @type {HTMLElement | null} */
  let held = null;

  editor.addEventListener("pointerdown", (event) => {
    const handle = /** @type {HTMLElement} */ (event.target).closest("[data-drag]");
    const row = handle?.closest("[data-row]");
    if (row instanceof HTMLElement) row.draggable = true;
  });
  editor.addEventListener("pointerup", () => release());
  editor.addEventListener("dragstart", (event) => {
    const row = /** @type {HTMLElement} */ (event.target).closest?.("[data-row]");
    if (!(row instanceof HTMLElement) || !row.draggable) return;
    held = row;
    row.classList.add("held");
    if (event.dataTransfer) event.dataTransfer.effectAllowed = "move";
  });
  editor.addEventListener("dragover", (event) => {
    const over = /** @type {HTMLElement} */ (event.target).closest?.("[data-row]");
    if (!held || !over || over.parentElement !== held.parentElement) return;
    event.preventDefault();
    if (over === held) return;
    const box = over.getBoundingClientRect();
    if (event.clientY < box.top + box.height / 2) over.before(held);
    else over.after(held);
  });
  editor.addEventListener("drop", (event) => {
    if (held) event.preventDefault();
  });
  editor.addEventListener("dragend", () => {
    if (held) moved();
    release();
  });

  function release() {
    held?.classList.remove("held");
    held = null;
    for (const row of editor.querySelectorAll("[data-row][draggable]")) row.removeAttribute("draggable");
  }
}
