/**
 * `<lesson-desk data-step="clips|look|write">`: on a phone one of three steps is shown.
 * Putting something on the stage goes to the step 'look'; on a laptop all three stand side by side.
 */
class LessonDesk extends HTMLElement {
  connectedCallback() {
    this.addEventListener("click", this);
    this.addEventListener("htmx:afterSwap", this);
    this.show(this.dataset.step ?? "clips");
  }

  /** @param {Event} event */
  handleEvent(event) {
    const target = /** @type {HTMLElement} */ (event.target);
    if (event.type === "htmx:afterSwap") {
      if (target.id === "stage") {
        this.show("look");
        target.focus({ preventScroll: true });
        if (target.scrollTo) target.scrollTo(0, 0);
        this.#current();
      }
      return;
    }
    const link = target.closest(".steps [data-step]");
    if (link instanceof HTMLElement && link.dataset.step) {
      event.preventDefault();
      this.show(link.dataset.step);
      window.scrollTo(0, 0);
    }
  }

  /** @param {string} step */
  show(step) {
    this.dataset.step = step;
    for (const link of this.querySelectorAll(".steps [data-step]")) {
      const chosen = link instanceof HTMLElement && link.dataset.step === step;
      if (chosen) link.setAttribute("aria-current", "step");
      else link.removeAttribute("aria-current");
    }
  }

  /** Says in the columns beside the stage what stands on it. */
  #current() {
    for (const link of this.querySelectorAll("[data-panel] a[hx-target='#stage']")) {
      const here = link instanceof HTMLAnchorElement && link.pathname === location.pathname;
      if (here) link.setAttribute("aria-current", "page");
      else link.removeAttribute("aria-current");
    }
  }
}

customElements.define("lesson-desk", LessonDesk);
