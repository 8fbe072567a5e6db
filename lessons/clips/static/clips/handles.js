/**
 * The chosen swing from close by, with a handle for each position that is known or guessed. A tap
 * shows the handle's frame; a drag moves the handle, showing each frame on the way; keys do the
 * same (handle.js).
 *
 * Sends "go" (detail: microseconds), "set" (detail: {swing, position, us}) and "rest" (nothing is held).
 */
import { Handle } from "./handle.js";
import { timeWords } from "./words.js";

const MOVES_PX = 4;
/** How far from its middle a handle is still meant. */
const NEAR_PX = 24;

export class Handles extends EventTarget {
  #fromUs = 0;
  #toUs = 1;
  #swing = "";
  /** @type {Map<string, Handle>} */
  #handles = new Map();
  /** @type {{handle: Handle | null, id: number, x: number, moved: boolean, us: number, grip: number} | null} */
  #held = null;
  /** What the page said while something was held. @type {Parameters<Handles["place"]> | null} */
  #later = null;
  /** @type {import("./frames.js").Frames | null} */
  frames = null;

  /** @param {HTMLElement} lane @param {number} slowdown */
  constructor(lane, slowdown) {
    super();
    this.lane = lane;
    this.slowdown = slowdown;
    this.places = /** @type {HTMLElement} */ (lane.querySelector("[data-handles]"));
    this.playhead = /** @type {HTMLElement} */ (lane.querySelector("[data-close-playhead]"));
    lane.addEventListener("pointerdown", (event) => this.#begin(event));
    lane.addEventListener("pointermove", (event) => this.#move(event));
    lane.addEventListener("pointerup", (event) => this.#end(event));
    lane.addEventListener("pointercancel", () => this.#drop());
  }

  /**
   * Put a handle at each position of a swing; one that is being moved stays in the hand.
   * @param {import("./swings.js").Swing} swing @param {number} fromUs @param {number} toUs @param {boolean} movable
   */
  place(swing, fromUs, toUs, movable) {
    if (this.#held) {
      this.#later = [swing, fromUs, toUs, movable];
      return;
    }
    if (swing.pk !== this.#swing) this.#handles.clear();
    this.#swing = swing.pk;
    this.#fromUs = fromUs;
    this.#toUs = toUs;
    const before = this.#handles;
    this.#handles = new Map(
      swing.places.map((place) => {
        const handle = before.get(place.position) ?? new Handle(place, movable, this.#laneOf(place.position));
        handle.update(place);
        return [place.position, handle];
      }),
    );
    const elements = [...this.#handles.values()].map((handle) => handle.element);
    // those that stay are not taken out: the focus would be lost
    if (elements.length !== this.places.children.length || elements.some((one, k) => one !== this.places.children[k])) {
      this.places.replaceChildren(...elements);
    }
    this.#draw();
  }

  /** Whether one is in the hand, or its keys have not come to rest. */
  get holds() {
    return this.#held !== null || [...this.#handles.values()].some((handle) => handle.isMoving);
  }

  /** The site has answered to all that was set. */
  answered() {
    for (const handle of this.#handles.values()) handle.answered();
  }

  /** What the page did not take goes back to where it was. */
  putBack() {
    for (const handle of this.#handles.values()) handle.putBack();
    this.#draw();
  }

  /** @param {number} us */
  show(us) {
    const out = us < this.#fromUs || us > this.#toUs;
    this.playhead.hidden = out;
    if (!out) this.playhead.style.insetInlineStart = this.#share(us);
  }

  /** What a handle asks of the lane. @param {string} position */
  #laneOf(position) {
    const swing = this.#swing; // also once another is shown
    return {
      step: (/** @type {number} */ us, /** @type {number} */ count) => {
        const { frames } = this;
        return frames ? frames.begins(frames.at(us) + count) : us;
      },
      go: (/** @type {number} */ us) => {
        this.#tell("go", us);
        this.#draw();
      },
      set: (/** @type {number} */ us) => this.#tell("set", { swing, position, us }),
      rests: () => this.holds || this.#tell("rest", null),
      words: (/** @type {number} */ us) => {
        const { frames } = this; // a guess may lie between two: the time that is said is the shown frame's
        return timeWords((frames ? frames.begins(frames.at(us)) : us) / this.slowdown);
      },
    };
  }

  #draw() {
    for (const handle of this.#handles.values()) {
      handle.draw((us) => this.#share(us), this.#fromUs, this.#toUs);
    }
  }

  /** The handle that a finger means: of those at its height, the nearest to it. @param {PointerEvent} event */
  #meant({ clientX, clientY }) {
    const near = [...this.#handles.values()]
      .map((handle) => ({ handle, box: handle.element.getBoundingClientRect() }))
      .filter(({ box }) => box.top <= clientY && clientY < box.bottom)
      .map(({ handle, box }) => ({ handle, px: Math.abs(box.left + box.width / 2 - clientX) }))
      .sort((a, b) => a.px - b.px);
    return near[0] && near[0].px <= NEAR_PX ? near[0].handle : null;
  }

  /** @param {PointerEvent} event */
  #begin(event) {
    if (event.button !== 0 || this.#held) return;
    const handle = this.#meant(event);
    this.lane.setPointerCapture(event.pointerId);
    const box = handle?.element.getBoundingClientRect();
    const grip = box ? event.clientX - box.left - box.width / 2 : 0; // it does not jump to the finger
    const us = handle ? handle.us : this.#at(event.clientX);
    this.#held = { handle, id: event.pointerId, x: event.clientX, moved: false, us, grip };
    this.#tell("go", us);
  }

  /** @param {PointerEvent} event */
  #move(event) {
    const held = this.#held;
    if (!held || event.pointerId !== held.id) return;
    if (!held.moved && Math.abs(event.clientX - held.x) < MOVES_PX) return;
    held.moved = true;
    held.us = this.#at(event.clientX - held.grip);
    if (held.handle?.movable) {
      held.handle.hold(held.us);
      this.#draw();
    }
    this.#tell("go", held.us);
  }

  /** @param {PointerEvent} event */
  #end(event) {
    const held = this.#held;
    if (!held || event.pointerId !== held.id) return;
    this.#held = null;
    if (held.moved && held.handle?.movable) held.handle.settle();
    else if (held.handle) held.handle.element.focus({ preventScroll: true });
    this.#letGo();
  }

  #drop() {
    const held = this.#held;
    this.#held = null;
    held?.handle?.putBack();
    this.#letGo();
    this.#draw();
  }

  #letGo() {
    const later = this.#later;
    this.#later = null;
    if (later) this.place(...later);
    this.#tell("rest", null);
  }

  /** @param {number} clientX */
  #at(clientX) {
    const box = this.lane.getBoundingClientRect();
    const share = Math.max(0, Math.min(1, (clientX - box.left) / box.width));
    return this.#fromUs + share * (this.#toUs - this.#fromUs);
  }

  /** @param {number} us */
  #share(us) {
    return `${(100 * (us - this.#fromUs)) / Math.max(1, this.#toUs - this.#fromUs)}%`;
  }

  /** @param {string} what @param {unknown} detail */
  #tell(what, detail) {
    this.dispatchEvent(new CustomEvent(what, { detail }));
  }
}
