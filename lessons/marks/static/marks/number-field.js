/**
 * A number that a coach types. What can be kept is kept as it is typed; anything else is said
 * beside the field at once, and the number from before stands there again when the field is left.
 */
export class NumberField {
  /**
   * @param {HTMLInputElement} input its min, max and step say what can be kept
   * @param {HTMLElement} said where the limits are said
   * @param {{kept: () => number, keep: (value: number) => void, words: (kept: number) => string}} use
   *   what is kept now, how to keep another number, and the sentence for one that can't be
   */
  constructor(input, said, use) {
    this.input = input;
    this.said = said;
    this.use = use;
    this.before = NaN; // what was kept when the hand came to the field
    input.addEventListener("focus", () => (this.before = use.kept()));
    input.addEventListener("input", () => this.#typed());
    input.addEventListener("change", () => this.#left());
  }

  get #isGood() {
    return this.input.value !== "" && this.input.validity.valid;
  }

  #typed() {
    // '99999' passes 99 on its way: what counts is what stood there before
    const value = this.#isGood ? this.input.valueAsNumber : this.before;
    if (value !== this.use.kept()) this.use.keep(value);
    const isEmpty = this.input.value === "" && !this.input.validity.badInput;
    this.say(this.#isGood || isEmpty ? "" : this.use.words(this.before));
  }

  #left() {
    if (this.#isGood) {
      this.before = this.input.valueAsNumber;
      return;
    }
    this.input.value = String(this.before);
    this.say(this.use.words(this.before));
  }

  /** @param {string} words '' for none */
  say(words) {
    this.said.textContent = words;
    this.input.setAttribute("aria-invalid", String(words !== "" && !this.#isGood));
  }
}
