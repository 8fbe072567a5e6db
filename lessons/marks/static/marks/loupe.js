/** A round glass above the finger that shows what the finger hides, twice as large. */

const SIZE_PX = 136;
const ABOVE_PX = 96; // from the finger to the glass's middle
const CLOSER = 2;

export class Loupe {
  /** @param {import("./view.js").View} view @param {SVGSVGElement} glass */
  constructor(view, glass) {
    this.view = view;
    this.glass = glass;
  }

  /** @param {PointerEvent} event */
  show(event) {
    if (event.pointerType !== "touch") return;
    const side = SIZE_PX / (this.view.scale * CLOSER);
    const [x, y] = this.view.toPicture(event.clientX, event.clientY);
    this.glass.setAttribute("viewBox", `${x - side / 2} ${y - side / 2} ${side} ${side}`);
    const cross = /** @type {SVGElement} */ (this.glass.querySelector(".mark-cross"));
    const arm = side / 14;
    cross.setAttribute("d", `M${x - arm} ${y}h${2 * arm}M${x} ${y - arm}v${2 * arm}`);
    // Near the top of the screen there is no room above: beside the finger then
    const isHigh = event.clientY < ABOVE_PX + SIZE_PX / 2;
    const aside = event.clientX > innerWidth / 2 ? -ABOVE_PX : ABOVE_PX;
    const left = Math.min(Math.max(event.clientX + (isHigh ? aside : 0), SIZE_PX / 2), innerWidth - SIZE_PX / 2);
    const top = Math.max(event.clientY - (isHigh ? 0 : ABOVE_PX), SIZE_PX / 2);
    this.glass.style.setProperty("translate", `${left - SIZE_PX / 2}px ${top - SIZE_PX / 2}px`);
    this.glass.toggleAttribute("data-shown", true);
  }

  hide() {
    this.glass.removeAttribute("data-shown");
  }
}
