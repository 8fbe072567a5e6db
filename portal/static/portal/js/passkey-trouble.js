/**
 * Says in words what went wrong with a passkey, where the button was pressed.
 */
document.addEventListener("allauth.error", (event) => {
  event.preventDefault();
  const { exception } = /** @type {CustomEvent} */ (event).detail;
  document.querySelector("[data-passkey-trouble]")?.remove();
  const notice = document.createElement("p");
  notice.className = "notice wrong";
  notice.dataset.passkeyTrouble = "";
  notice.setAttribute("role", "alert");
  notice.textContent = words(exception);
  document.querySelector("main h1")?.after(notice);
});

/** @param {Error} exception */
function words(exception) {
  if (exception.name === "NotAllowedError") return "No passkey was used. Try again, or use a code by e-mail.";
  if (exception.name === "InvalidStateError") return "This phone has a passkey for you already.";
  if (exception.name === "SecurityError") return "Passkeys need the site's own address, with https.";
  return "This browser could not use a passkey. A code by e-mail works everywhere.";
}
