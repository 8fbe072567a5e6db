/**
 * <still-view>: a still enlarged. Two fingers zoom, one moves what was zoomed, a double tap goes
 * closer and back; at its whole size the page scrolls as always. Without it the picture is there.
 */
import { Hand } from "./looking.js";
import { View } from "./view.js";

class StillView extends HTMLElement {
  connectedCallback() {
    const svg = /** @type {SVGSVGElement} */ (this.querySelector("svg"));
    const buttons = /** @type {HTMLElement} */ (this.querySelector(".large-zoom"));
    this.view = new View(svg, Number(this.dataset.width), Number(this.dataset.height));
    this.hand = new Hand(this.view, svg);
    const [out, closer] = /** @type {HTMLButtonElement[]} */ ([...buttons.querySelectorAll("button")]);
    out.addEventListener("click", () => this.view?.zoomBy(1 / 1.6));
    closer.addEventListener("click", () => this.view?.zoomBy(1.6));
    this.view.addEventListener("change", () => {
      const isWhole = this.view?.zoom === 1;
      out.disabled = isWhole;
      // One finger scrolls the page as long as there is nothing to move
      svg.style.touchAction = isWhole ? "pan-y" : "none";
    });
    buttons.hidden = false;
  }

  disconnectedCallback() {
    this.view?.watch.disconnect();
  }
}

customElements.define("still-view", StillView);
