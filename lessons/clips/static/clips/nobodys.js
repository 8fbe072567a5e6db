/**
 * Keys that nobody on the page was meant by: the focus is on the page itself, as when it was just
 * opened. They are for the page's only player or pairing, unless a dialog is open.
 *
 * @param {KeyboardEvent} event @param {HTMLElement} element
 */
export function isMeantFor(event, element) {
  const target = /** @type {Element} */ (event.target);
  if (target === element || !target.contains(element) || event.defaultPrevented || !element.getClientRects().length) return false;
  return document.querySelectorAll(element.localName).length === 1 && !document.querySelector("dialog[open]");
}

/**
 * Let an element hear its own keys, and those of nobody, until the answer is aborted.
 * @param {HTMLElement} element @param {(event: KeyboardEvent) => void} work
 */
export function hearKeys(element, work) {
  const until = new AbortController();
  const { signal } = until;
  element.addEventListener("keydown", work, { signal });
  document.addEventListener("keydown", (event) => isMeantFor(event, element) && work(event), { signal });
  return until;
}
