/**
 * What every page needs: nothing typed is lost without a word.
 * A failed partial update says so at the place it was asked from.
 */
document.addEventListener("htmx:sendError", (event) => tell(event, "No connection. Nothing is lost; try again in a moment."));
document.addEventListener("htmx:responseError", (event) => tell(event, "The site could not do that. Reload the page and try again."));

/** @param {Event} event @param {string} words */
function tell(event, words) {
  const place = /** @type {HTMLElement} */ (event.target);
  document.querySelector("[data-trouble]")?.remove();
  const notice = document.createElement("p");
  notice.className = "notice wrong";
  notice.dataset.trouble = "";
  notice.setAttribute("role", "alert");
  notice.textContent = words;
  (place.closest("section, li, form, main") ?? document.body).prepend(notice);
}
