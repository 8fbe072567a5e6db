/**
 * `<swings-beside>`: two or three swings side by side, on one clock: stepped, scrubbed and played
 * together, lined up at a position or position by position. The markup is
 * templates/pairings/_pairing.html; settings, sides, playing and rings each have a module.
 */
import { arrange } from "./arranging.js";
import { followHand } from "./hand.js";
import { Panel } from "./panel.js";
import { Rings } from "./rings.js";
import { Running } from "./running.js";
import { PairingSettings } from "./settings.js";
import { Side } from "./side.js";
import { Track } from "./track.js";
import { warps } from "./warp.js";
import { windows } from "./windows.js";

const AROUND_US = 300_000;

class SwingsBeside extends HTMLElement {
  /** @type {Side[]} in the order in which they stand */
  sides = [];
  clock = 0;
  matching = false;

  async connectedCallback() {
    if (this.settings) return;
    const { pairing, url, csrf } = /** @type {Record<string, string>} */ (this.dataset);
    const { sides, ...kept } = JSON.parse(pairing);
    this.settings = new PairingSettings(kept, url, csrf);
    this.stage = this.get("[data-stage]");
    this.all = [...this.stage.querySelectorAll("[data-side]")].map((cell) => {
      const side = new Side(/** @type {HTMLElement} */ (cell), sides[cell.getAttribute("data-side") ?? ""]);
      return side;
    });
    this.rings = this.all.map((side) => new Rings(side, (points, key) => this.settings?.setSide(side.id, { points }, key)));
    this.track = new Track(this.get("[data-track]"), (clock) => this.goTo(clock));
    this.panel = new Panel(this);
    this.#listen();
    try {
      await Promise.all(this.all.map((side) => side.load()));
    } catch {
      this.#trouble();
      return;
    }
    for (const side of this.all) side.refresh(this);
    this.arrange();
    this.goTo(0);
    this.settings.takeUp();
    this.toggleAttribute("data-ready", true);
  }

  disconnectedCallback() {
    this.running?.stop();
    this.settings?.stop();
    this.watcher?.disconnect();
    this.cutsWatcher?.disconnect();
    this.keys?.abort();
  }

  #listen() {
    const { settings, stage } = this;
    if (!settings || !stage) return;
    settings.addEventListener("change", () => {
      this.arrange();
      this.goTo(this.clock);
    });
    settings.addEventListener("status", (event) => (this.get("[data-status]").textContent = /** @type {CustomEvent} */ (event).detail));
    settings.addEventListener("conflict", () => this.panel?.show());
    for (const side of this.all ?? []) {
      side.addEventListener("frame", () => this.panel?.showTimes());
      side.addEventListener("trouble", () => this.#trouble());
    }
    this.watcher = new ResizeObserver(() => this.arrange());
    this.watcher.observe(stage);
    this.cutsWatcher = new MutationObserver(() => this.all?.forEach((side) => side.refresh(this)));
    this.cutsWatcher.observe(this.get("[data-cuts]"), { childList: true, subtree: true });
    this.keys = followHand(this, stage);
  }

  /** Take the settings over: order, warps, where each picture lies. */
  arrange() {
    const { settings, all, stage } = this;
    if (!settings || !all || !stage) return;
    const { at, by_position, over, opacity_percent, zoom_percent, with_marks } = settings.now;
    this.sides = settings.now.sides.flatMap((own) => all.filter((side) => side.id === own.id));
    const placed = this.sides.map((side, k) => {
      const own = settings.now.sides[k];
      side.mirrored = own.mirrored;
      return { alignedUs: side.alignedUs(own, at), positions: side.given.positions, slowdown: side.given.slowdown };
    });
    const found = warps(placed, at, by_position);
    this.sides.forEach((side, k) => (side.warp = found[k]));
    const pictures = this.sides.map((side, k) => ({
      width: side.given.width_px,
      height: side.given.height_px,
      mirrored: side.mirrored,
      // While the points are set, each picture is whole
      points: this.matching ? null : settings.now.sides[k].points,
    }));
    const share = arrange(stage, this.sides.map((side) => side.cell), pictures[0], over && !this.matching);
    const laid = windows(pictures, this.matching ? 1 : zoom_percent / 100);
    this.sides.forEach((side, k) => {
      const isUpper = over && k > 0 && !this.matching;
      side.sheet.style.opacity = isUpper ? String(opacity_percent / 100) : "";
      side.cell.toggleAttribute("data-upper", isUpper);
      side.lay(laid[k], share);
    });
    this.rings?.forEach((rings) => rings.show(settings.now.sides.find((own) => own.id === rings.side.id)?.points ?? null));
    stage.toggleAttribute("data-matching", this.matching);
    stage.toggleAttribute("data-without-marks", !with_marks);
    this.#measure();
    this.panel?.show();
  }

  /** From the earliest begin to the latest finish, and the positions of the first swing between. */
  #measure() {
    const spans = this.sides.map((side) => side.given.span_us.map((us) => side.warp?.clockUs(us) ?? 0));
    this.begin = Math.min(...spans.map(([begin]) => begin)) - AROUND_US;
    this.end = Math.max(...spans.map(([, end]) => end)) + AROUND_US;
    const [first] = this.sides;
    /** @type {Record<string, number>} */
    this.clocks = {};
    for (const [name, us] of Object.entries(first.given.positions)) this.clocks[name] = first.warp?.clockUs(us) ?? 0;
    this.clocks[this.settings?.now.at ?? ""] = 0;
    this.track?.measure(this.begin, this.end, this.clocks, this.settings?.now.at ?? "");
    this.track?.show(this.clock);
  }

  /** Show a moment of the clock, standing still. @param {number} clock */
  goTo(clock) {
    this.pause();
    this.clock = Math.round(Math.max(this.begin ?? clock, Math.min(this.end ?? clock, clock)));
    for (const side of this.sides) side.show(this.clock);
    this.#told(this.clock);
  }

  /** Step together: a frame of the swing that has the most of them here. @param {number} count */
  step(count) {
    this.pause();
    const finest = this.sides.reduce((best, side) => (side.frameLength(this.clock) < best.frameLength(this.clock) * 0.99 ? side : best));
    const { frames } = finest.videos;
    if (!frames || !finest.warp) return;
    const index = frames.clamp(finest.indexAt(this.clock) + count);
    // A frame begun is a frame shown; one microsecond more, so that no rounding leads before it
    this.goTo(finest.warp.clockUs(frames.begins(index) + finest.given.slowdown));
  }

  play() {
    if (this.running?.on) return this.pause();
    this.running = new Running(
      this.sides,
      (clock) => this.#told((this.clock = Math.round(clock))),
      () => this.#stopped(),
    );
    this.toggleAttribute("data-playing", true);
    this.panel?.show();
    void this.running.start(this.clock, this.begin ?? 0, this.end ?? 0, this.panel?.speed ?? 1);
  }

  pause() {
    if (!this.running?.on) return;
    this.running.stop();
    this.#stopped();
  }

  #stopped() {
    this.removeAttribute("data-playing");
    for (const side of this.sides) side.show(this.clock);
    this.panel?.show();
  }

  /** @param {number} clock */
  #told(clock) {
    this.track?.show(clock);
    for (const field of this.querySelectorAll("[data-clock]")) /** @type {HTMLInputElement} */ (field).value = String(clock);
    this.panel?.showTimes();
  }

  #trouble() {
    const notice = this.get("[data-trouble]");
    notice.textContent = "A video can't be loaded. Check your connection and reload the page.";
    notice.hidden = false;
  }

  /** @param {string} selector @returns {any} */
  get(selector) {
    return this.querySelector(selector);
  }
}

customElements.define("swings-beside", SwingsBeside);
