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
      // What comes by itself must not take the place of what is looked at, or typed
      const asked = /** @type {CustomEvent} */ (event).detail.requestConfig?.triggeringEvent;
      if (target.id === "stage" && asked?.type === "click") this.#putOnStage(target);
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

  /** @param {HTMLElement} stage */
  #putOnStage(stage) {
    this.show("look");
    stage.focus({ preventScroll: true });
    stage.scrollTo(0, 0);
    this.#current();
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
