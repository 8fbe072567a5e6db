/**
 * One request at a time for each of the player's lists. Every answer puts a new list in the place
 * of the old one: an answer whose list is gone would be lost, and a form that is replaced while
 * it waits would never be sent. So a press waits until the one before is answered, and is then
 * pressed in the new list; what the page asks for by itself gives way, and is asked for again.
 */
const LISTS = ["swings", "stills"];

/** @typedef {{button: HTMLElement, time: string | undefined}} Press */

export class Turns {
  /** What is on its way, by list. @type {Map<string, {xhr: XMLHttpRequest, asks: boolean, press: Press | null}>} */
  #underWay = new Map();
  /** @type {Map<string, Press[]>} */
  #waiting = new Map(LISTS.map((list) => [list, []]));
  /** Lists of which something newer is known to be there. @type {Set<string>} */
  #owed = new Set();
  /** What was refused while more presses waited: the next answer must not hide it. @type {Map<string, Element>} */
  #refusals = new Map();

  /**
   * @param {HTMLElement} player
   * @param {{readonly holds: boolean, answered: () => void}} hand
   *   whether something of the swings is in the coach's hand; told when all presses are answered
   */
  constructor(player, hand) {
    this.hand = hand;
    const on = (/** @type {string} */ name, /** @type {(list: string, event: CustomEvent) => void} */ work) =>
      player.addEventListener(`htmx:${name}`, (event) => {
        const list = /** @type {CustomEvent} */ (event).detail.target?.id;
        if (LISTS.includes(list)) work(list, /** @type {CustomEvent} */ (event));
      });
    on("confirm", (list, event) => this.#wants(list, event));
    on("beforeRequest", (list, { detail }) => {
      const { verb, triggeringEvent } = detail.requestConfig;
      this.#underWay.set(list, { xhr: detail.xhr, asks: verb === "get", press: pressOf(triggeringEvent) });
    });
    on("beforeSwap", (list, event) => this.#swaps(list, event));
    on("afterRequest", (list, { detail }) => this.#ended(list, detail.xhr));
  }

  /** The coach's hand is empty again: ask for what it kept away. */
  letGo() {
    for (const list of LISTS) this.#ask(list);
  }

  /** @param {string} list @param {CustomEvent} event */
  #wants(list, event) {
    const { verb, triggeringEvent } = event.detail;
    const before = this.#underWay.get(list);
    if (!before) return;
    if (verb === "get") {
      event.preventDefault();
      if (triggeringEvent) this.#owed.add(list); // something has changed; else it only comes round
      return;
    }
    const press = pressOf(triggeringEvent);
    if (before.asks || !press) return;
    event.preventDefault();
    const waiting = this.#waiting.get(list) ?? [];
    // Pressed again in impatience, it counts once
    if (![before.press, ...waiting].some((other) => isSame(other, press))) waiting.push(press);
  }

  /** @param {string} list @param {CustomEvent} event */
  #swaps(list, event) {
    const { detail } = event;
    const now = this.#underWay.get(list);
    const held = list === "swings" && Boolean(now?.asks) && this.hand.holds;
    if (held) this.#owed.add(list);
    if (held || now?.xhr !== detail.xhr) event.preventDefault();
    // At once ready to be pressed: until a form has settled, pressing it would load the whole page
    detail.swapOverride = "outerHTML settle:0ms";
  }

  /** @param {string} list @param {XMLHttpRequest} xhr */
  #ended(list, xhr) {
    const ended = this.#underWay.get(list);
    if (ended?.xhr !== xhr) return;
    this.#underWay.delete(list);
    const place = document.getElementById(list);
    const refusal = this.#refusals.get(list);
    if (refusal) place?.prepend(refusal);
    this.#refusals.delete(list);
    const waiting = this.#waiting.get(list) ?? [];
    const alert = place?.querySelector(":scope > [role=alert]");
    if (waiting.length && alert) this.#refusals.set(list, alert);
    while (waiting.length && !this.#underWay.has(list)) press(/** @type {Press} */ (waiting.shift()));
    if (this.#underWay.has(list)) return;
    if (!ended.asks && list === "swings") this.hand.answered();
    this.#ask(list);
  }

  /** @param {string} list */
  #ask(list) {
    if (this.#underWay.has(list) || (list === "swings" && this.hand.holds) || !this.#owed.delete(list)) return;
    document.body.dispatchEvent(new Event(`${list}-changed`));
  }
}

/** @param {SubmitEvent | undefined} event @returns {Press | null} */
function pressOf(event) {
  const button = event?.submitter;
  return button ? { button, time: timeOf(button)?.value } : null;
}

/** @param {Press | null} one @param {Press} other */
function isSame(one, other) {
  const isOneButton = one?.button === other.button || (one?.button.id && one.button.id === other.button.id);
  return Boolean(isOneButton) && one?.time === other.time;
}

/** Press a button as it was pressed before; in a new list, the one of the same name. @param {Press} pressed */
function press({ button, time }) {
  const now = button.isConnected ? button : document.getElementById(button.id);
  if (!now) return;
  const field = timeOf(now);
  if (field && time !== undefined) field.value = time;
  now.click();
}

/** Where a button's form says which frame is meant. @param {HTMLElement} button @returns {HTMLInputElement | null} */
function timeOf(button) {
  return button.closest("form")?.querySelector("[data-time]") ?? null;
}
