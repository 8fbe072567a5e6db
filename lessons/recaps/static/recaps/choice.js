/**
 * Two open pages of one recap: the coach chooses which text stays, and the other one is kept.
 * Also what a closed or reloaded page has left behind on this device.
 * @typedef {HTMLElement & {drafts: import("./drafts.js").Drafts, saver: import("./saver.js").Saver}} Editor
 */
import { collect } from "./page-state.js";
import { put } from "./saver.js";

/**
 * @param {Editor} editor
 * @param {import("./saver.js").Choice} choice
 * @param {import("./drafts.js").Draft} mine
 */
export function askForChoice(editor, choice, mine) {
  const dialog = /** @type {HTMLDialogElement} */ (editor.querySelector("[data-choice]"));
  dialog.innerHTML = choice.html; // rendered and escaped by the site
  dialog.oncancel = (event) => event.preventDefault();
  dialog.onclick = async (event) => {
    const button = /** @type {HTMLElement} */ (event.target).closest("[data-keep]");
    if (!(button instanceof HTMLElement)) return;
    if (button.dataset.keep === "theirs") {
      editor.drafts.setAside(mine.data);
      editor.drafts.forget(mine.page);
      await renew(editor);
      return;
    }
    const answer = await keep(editor, mine.data, choice.version, mine.page);
    if (answer.state === "saved") {
      editor.drafts.setAside(choice.theirs);
      editor.drafts.forget(mine.page);
      await renew(editor);
    } else if (answer.state === "choice") {
      askForChoice(editor, answer, mine);
    } else {
      button.textContent = "No connection. Try again";
    }
  };
  if (!dialog.open) dialog.showModal();
}

/** Save what an earlier page could not, then show it. @param {Editor} editor */
export async function bringBackLeft(editor) {
  const [draft] = editor.drafts.left(editor.saver.page);
  if (!draft) return;
  editor.inert = true;
  say(editor, "Bringing back what you typed");
  const answer = await keep(editor, draft.data, draft.version, draft.page);
  editor.inert = false;
  if (answer.state === "saved") {
    editor.drafts.forget(draft.page);
    await renew(editor);
  } else if (answer.state === "choice") {
    askForChoice(editor, answer, draft);
  } else if (answer.state === "wrong") {
    // Can't be saved as it is: it stays at hand, and the page goes on
    editor.drafts.setAside(draft.data);
    editor.drafts.forget(draft.page);
    offerAside(editor);
  } else {
    editor.inert = true;
    say(editor, "What you typed is kept on this device. Waiting for the connection");
    setTimeout(() => bringBackLeft(editor), 3000);
  }
}

/** Show that another text is kept here, to put back or to forget. @param {Editor} editor */
export function offerAside(editor) {
  const notice = /** @type {HTMLElement} */ (editor.querySelector("[data-aside]"));
  notice.hidden = editor.drafts.asides().length === 0;
  const swap = /** @type {HTMLElement} */ (notice.querySelector("[data-swap]"));
  const forget = /** @type {HTMLElement} */ (notice.querySelector("[data-forget]"));
  forget.onclick = () => {
    editor.drafts.takeAside();
    offerAside(editor);
  };
  swap.onclick = async () => {
    await editor.saver.flush();
    const data = editor.drafts.asides().at(-1);
    if (!data || !editor.saver.isSettled) return;
    const now = collect(editor);
    const answer = await keep(editor, data, editor.saver.version, editor.saver.page);
    if (answer.state !== "saved") return;
    editor.drafts.takeAside();
    editor.drafts.setAside(now);
    await renew(editor);
  };
}

/** @param {Editor} editor @param {object} data @param {number} version @param {string} page */
function keep(editor, data, version, page) {
  return put(editor.saver.url, { ...data, version, page });
}

/** Load the editor again as it is stored now. @param {Editor} editor */
async function renew(editor) {
  const answer = await fetch(editor.saver.url, { headers: { "HX-Request": "true" } });
  if (!answer.ok) return location.reload();
  const pattern = document.createElement("template");
  pattern.innerHTML = await answer.text();
  const fresh = /** @type {HTMLElement} */ (pattern.content.querySelector("recap-editor"));
  // The old page must not save once more while it goes
  editor.saver.sent = editor.saver.changes;
  editor.replaceWith(fresh);
  window.htmx?.process(fresh);
}

/** @param {Editor} editor @param {string} words */
function say(editor, words) {
  const place = editor.querySelector("[data-status]");
  if (place) place.textContent = words;
}
