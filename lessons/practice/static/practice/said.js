/** After a drill: how much it was, how it felt, a note. */

/** @typedef {{sets?: number, reps?: number, minutes?: number}} Amount */

/**
 * What was counted as an amount to log; empty if it was as set.
 * @param {{sets: number, reps: number, minutes: number}} dose 0 for what it does not say
 * @param {{reps: number, seconds: number}} tally
 * @returns {Amount}
 */
export function amountOf(dose, tally) {
  if (dose.reps) {
    const set = (dose.sets || 1) * dose.reps;
    if (!tally.reps || tally.reps === set) return {};
    return tally.reps % dose.reps ? { sets: 1, reps: tally.reps } : { sets: tally.reps / dose.reps, reps: dose.reps };
  }
  const minutes = Math.max(1, Math.round(tally.seconds / 60));
  return !dose.minutes || minutes === dose.minutes ? {} : { minutes };
}

/** @param {{sets: number, reps: number, minutes: number}} dose @param {Amount} amount */
export function amountWords(dose, amount) {
  if (!Object.keys(amount).length) return "Done as set.";
  if (amount.reps) {
    const done = `${amount.sets} x ${amount.reps}`;
    const more = (amount.sets ?? 1) * amount.reps > (dose.sets || 1) * dose.reps;
    return more ? `${done}, more than was set.` : `${done}. Every one counts.`;
  }
  const minutes = `${amount.minutes} minute${amount.minutes === 1 ? "" : "s"}`;
  return (amount.minutes ?? 0) > dose.minutes ? `${minutes}, more than was set.` : `${minutes}. That counts.`;
}

/** Put a form into a drill's screen; it asks only for what the dose is counted in. @param {HTMLDialogElement} dialog */
export function addForm(dialog) {
  const template = /** @type {HTMLTemplateElement} */ (document.getElementById("said-form"));
  const form = /** @type {HTMLFormElement} */ (template.content.querySelector("form")?.cloneNode(true));
  const { name = "", sets, reps } = dialog.dataset;
  /** @type {HTMLElement} */ (form.querySelector("[data-said-title]")).textContent = name;
  if (!reps) form.querySelector("label:has([name=reps])")?.remove();
  if (!reps && !sets) form.querySelector("label:has([name=sets])")?.remove();
  dialog.append(form);
}

/**
 * Ask, and answer with what was said; null to go back to the drill.
 * @param {HTMLDialogElement} dialog @param {{reps: number, seconds: number}} tally
 * @returns {Promise<Record<string, string> | null>}
 */
export function ask(dialog, tally) {
  const form = /** @type {HTMLFormElement} */ (dialog.querySelector("[data-said]"));
  const dose = {
    sets: Number(dialog.dataset.sets),
    reps: Number(dialog.dataset.reps),
    minutes: Number(dialog.dataset.minutes),
  };
  const amount = amountOf(dose, tally);
  form.reset();
  for (const [name, value] of Object.entries(amount)) {
    const input = /** @type {HTMLInputElement | null} */ (form.elements.namedItem(name));
    if (input) input.value = String(value);
  }
  const words = form.querySelector("[data-said-amount]");
  if (words) words.textContent = amountWords(dose, amount);
  const hurt = /** @type {HTMLInputElement} */ (form.elements.namedItem("hurt"));
  const hurtWords = /** @type {HTMLElement} */ (form.querySelector("[data-hurt-words]"));
  hurtWords.hidden = true;
  hurt.onchange = () => (hurtWords.hidden = !hurt.checked);
  const screen = /** @type {HTMLElement} */ (dialog.querySelector(".run-screen"));
  screen.hidden = true;
  form.hidden = false;
  /** @type {HTMLElement} */ (form.querySelector("[data-said-title]")).focus();
  return new Promise((resolve) => {
    form.onsubmit = (event) => {
      event.preventDefault();
      const wrong = /** @type {HTMLInputElement | null} */ (form.querySelector(":invalid:not(fieldset)"));
      const trouble = /** @type {HTMLElement} */ (form.querySelector("[data-trouble]"));
      trouble.hidden = !wrong;
      if (wrong) {
        trouble.textContent = wrong.validationMessage;
        wrong.focus();
      } else {
        const said = [...new FormData(form)].map(([name, value]) => [name, String(value).trim()]);
        resolve(Object.fromEntries(said.filter(([, value]) => value)));
      }
    };
    /** @type {HTMLElement} */ (form.querySelector("[data-return]")).onclick = () => resolve(null);
  });
}
