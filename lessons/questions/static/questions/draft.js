/**
 * Words on their way: kept on this device until the site shows that it has them.
 * @typedef {{text: string, client: string}} Draft
 */
const START = "carryover-words-";

/** @param {string} place @param {Draft} draft @returns {boolean} whether it could be kept */
export function keep(place, draft) {
  try {
    if (draft.text.trim()) localStorage.setItem(START + place, JSON.stringify(draft));
    else localStorage.removeItem(START + place);
    return true;
  } catch (error) {
    if (error instanceof DOMException) return false; // full, or forbidden
    throw error;
  }
}

/** @param {string} place @returns {Draft | null} */
export function kept(place) {
  try {
    return JSON.parse(localStorage.getItem(START + place) ?? "null");
  } catch (error) {
    if (error instanceof SyntaxError || error instanceof DOMException) return null;
    throw error;
  }
}

/** @param {string} place */
export function forget(place) {
  localStorage.removeItem(START + place);
}

/** Let every draft go whose message the site has. @param {Set<string>} clients */
export function settle(clients) {
  for (const key of Object.keys(localStorage)) {
    if (!key.startsWith(START)) continue;
    const place = key.slice(START.length);
    if (clients.has(kept(place)?.client ?? "")) forget(place);
  }
}
