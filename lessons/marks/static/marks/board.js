/**
 * <mark-board>: drawing on a still by finger, pen, mouse or keyboard.
 * The page brings the still, its marks and the look of the drawing as data attributes
 * (templates/marks/_board.html); state, view, scene, hand, keys and saving each have a module.
 * @typedef {import("./geometry.js").Point} Point
 * @typedef {import("./shapes.js").Mark} Mark
 */
import { act, press } from "./acts.js";
import { blankMark } from "./blank.js";
import { Hand } from "./hand.js";
import { listenForKeys } from "./keys.js";
import { Loupe } from "./loupe.js";
import { Measuring } from "./measuring.js";
import { Panel } from "./panel.js";
import { Saving } from "./saving.js";
import { Scene } from "./scene.js";
import { Frame, inside } from "./frame.js";
import { Shelf } from "./shelf.js";
import { State } from "./state.js";
import { View } from "./view.js";

export class MarkBoard extends HTMLElement {
  // Made once the element has its content (connectedCallback)
  svg = /** @type {SVGSVGElement} */ (/** @type {unknown} */ (null));
  frame = /** @type {Frame} */ (/** @type {unknown} */ (null));
  state = /** @type {State} */ (/** @type {unknown} */ (null));
  view = /** @type {View} */ (/** @type {unknown} */ (null));
  scene = /** @type {Scene} */ (/** @type {unknown} */ (null));
  loupe = /** @type {Loupe} */ (/** @type {unknown} */ (null));
  saving = /** @type {Saving} */ (/** @type {unknown} */ (null));
  panel = /** @type {Panel} */ (/** @type {unknown} */ (null));
  /** @type {import("./measures.js").Sight} how the camera stands, and how exact marks are */
  sight = { view: "other", handed: "right", error_px: 3 };
  tool = "choose";
  colour = "";
  /** @type {Mark | null} an angle between two touches */
  pending = null;
  laying = /** @type {import("./laying.js").Laying | null} being laid over, until they are kept */ (null);

  connectedCallback() {
    if (this.state) return;
    const data = /** @type {Record<string, string>} */ (this.dataset);
    const kept = JSON.parse(data.marks);
    const svg = /** @type {SVGSVGElement} */ (this.querySelector(".mark-drawing"));
    const glass = /** @type {SVGSVGElement} */ (this.querySelector(".mark-loupe"));
    this.svg = svg;
    this.frame = new Frame(Number(data.width), Number(data.height), JSON.parse(data.drawing));
    this.colour = this.frame.constants.colours[0].value;
    this.state = new State(kept.marks);
    this.view = new View(svg, this.frame.width, this.frame.height);
    this.sight = JSON.parse(data.sight);
    this.scene = new Scene(svg, this.state, this.view, this.frame, this.sight);
    this.loupe = new Loupe(this.view, glass);
    this.saving = new Saving(data.url, `carryover.marks.${data.url}`, data.csrf, kept.version);
    this.panel = new Panel(this);
    this.measuring = new Measuring(this);
    this.shelf = new Shelf(this);
    new Hand(this, svg);
    this.#listen();
    this.panel.show();
    this.panel.showList();
    this.#takeUp(kept);
    this.toggleAttribute("data-ready", true);
  }

  disconnectedCallback() {
    this.keys?.abort();
    this.saving?.stop();
    this.view?.watch.disconnect();
  }

  #listen() {
    const { state, saving, panel } = this;
    state.addEventListener("change", () => panel.show());
    state.addEventListener("settled", () => {
      saving.keep(state.marks);
      panel.showList();
    });
    state.addEventListener("choose", () => {
      panel.show();
      panel.showList();
    });
    this.view.addEventListener("change", () => panel.show());
    for (const name of ["status", "conflict"]) saving.addEventListener(name, () => panel.showSaving());
    this.addEventListener("click", (event) => this.#clicked(/** @type {HTMLElement} */ (event.target)));
    this.keys = listenForKeys(this);
    this.addEventListener("focusin", (event) => {
      const mark = event.target instanceof SVGElement && event.target.dataset.mark;
      if (mark) state.choose(mark);
    });
    panel.input.addEventListener("input", () => this.#typed());
    panel.input.addEventListener("keydown", (event) => {
      if (event.key === "Enter" || event.key === "Escape") this.scene.focus(state.chosenId);
    });
  }

  /** Marks that an earlier visit could not save come back; if others were saved since, ask. @param {import("./saving.js").Kept} kept */
  #takeUp(kept) {
    const left = this.saving.left();
    if (!left || JSON.stringify(left.marks) === JSON.stringify(kept.marks)) return;
    this.state.replace(left.marks);
    if (left.version !== kept.version) this.saving.clash(kept);
  }

  /** @param {HTMLElement} target */
  #clicked(target) {
    const button = target.closest("button");
    if (!button || !this.contains(button)) return;
    const { tool, colour, id } = button.dataset;
    if (tool) this.setTool(tool);
    else if (colour) this.#setColour(colour);
    else if (button.dataset.lay) void this.shelf?.lay(button.dataset.lay);
    else if (id) this.panel.chooseRow(id);
    else if (button.dataset.do) press(this, button);
  }

  /** Do what a button or key names. @param {string} name */
  act(name) {
    act(this, name);
    this.panel.show();
    return true;
  }

  /** @param {string} tool */
  setTool(tool) {
    this.laying?.keep();
    this.dropPending();
    this.tool = tool;
    this.svg.dataset.tool = tool;
    if (tool !== "choose") this.state.choose("");
    this.panel.show();
  }

  /** @param {string} colour */
  #setColour(colour) {
    this.colour = colour;
    const { chosen } = this.state;
    if (chosen && chosen.colour !== colour) this.state.put({ ...chosen, colour });
    this.panel.show();
  }

  /** Take back an angle that was begun. */
  dropPending() {
    if (this.pending) this.state.abandon();
    this.pending = null;
  }

  #typed() {
    const { chosen } = this.state;
    const text = this.panel.input.value.replace(/\s+/g, " ").trim();
    if (chosen && (text || chosen.kind !== "label")) this.state.put({ ...chosen, text }, `words ${chosen.id}`);
  }

  /** @param {string} kind @param {Point[]} points */
  newMark(kind, points) {
    return blankMark(kind, points, this.colour, this.state.marks);
  }

  /** A mark is drawn: it is the chosen one now, ready to be set right. @param {string} id */
  finish(id) {
    this.pending = null;
    this.state.settle();
    this.tool = "choose";
    this.svg.dataset.tool = "choose";
    this.state.choose(id);
    this.scene.focus(id);
    this.panel.show();
  }

  /** A tap where a drag was expected chooses what lies there. @param {Point} point */
  tapped(point) {
    const mark = this.markAt(point, 12 / this.view.scale);
    if (!mark) return;
    this.setTool("choose");
    this.state.choose(mark.id);
  }

  /** @param {Point} point @param {number} reach in picture pixels */
  markAt(point, reach) {
    return this.scene.markAt(point, reach);
  }

  /** The open angle's arm follows a mouse between two touches. @param {PointerEvent} event */
  hover(event) {
    if (!this.pending || event.pointerType === "touch") return;
    const end = inside(this.view.toPicture(event.clientX, event.clientY), this.frame);
    this.state.show({ ...this.pending, points: [...this.pending.points, end] });
  }

  drawingFocus() {
    this.svg.focus({ preventScroll: true });
  }

  askForWords() {
    this.panel.input.focus();
    this.panel.input.select();
  }
}

customElements.define("mark-board", MarkBoard);
