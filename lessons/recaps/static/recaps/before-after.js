/** Where the divider stands: under the thumb, whose middle stays half its width from the edges. @param {number} share */
function cutAt(share) {
  if (share <= 0 || share >= 100) return `${share}%`;
  return `calc(22px + (100% - 44px) * ${share / 100})`;
}

/**
 * `<before-after>`: two pictures of one position, the second under a divider that is dragged.
 * The divider is a range input, so it works by finger, by mouse and by keys.
 */
class BeforeAfter extends HTMLElement {
  connectedCallback() {
    const range = this.querySelector("input[type=range]");
    if (!(range instanceof HTMLInputElement)) return;
    const show = () => {
      const share = Number(range.value);
      this.style.setProperty("--cut", cutAt(share));
      range.setAttribute("aria-valuetext", `${share} % start, ${100 - share} % end`);
    };
    range.addEventListener("input", show);
    show();
  }
}

customElements.define("before-after", BeforeAfter);
