/**
 * What was typed, kept on this device until the site has it.
 *
 * A draft belongs to one open page of one recap, so that two tabs never write over one another's.
 * Texts that lost a choice are set aside here too, newest last.
 * @typedef {{page: string, version: number, data: object}} Draft
 */
export class Drafts {
  /** @param {string} recap */
  constructor(recap) {
    this.start = `carryover-recap-${recap}-`;
    this.asideKey = `carryover-recap-aside-${recap}`;
  }

  /** @param {Draft} draft @returns {boolean} whether it could be kept */
  keep(draft) {
    return write(this.start + draft.page, draft);
  }

  /** @param {string} page */
  forget(page) {
    localStorage.removeItem(this.start + page);
  }

  /** Drafts that the site does not have, of any page but this one. @param {string} page @returns {Draft[]} */
  left(page) {
    const keys = Object.keys(localStorage).filter((key) => key.startsWith(this.start));
    return keys
      .map((key) => /** @type {Draft | null} */ (read(key)))
      .filter((draft) => draft !== null && draft.page !== page);
  }

  /** @returns {object[]} */
  asides() {
    const texts = read(this.asideKey);
    return Array.isArray(texts) ? texts : [];
  }

  /** @param {object} data */
  setAside(data) {
    write(this.asideKey, [...this.asides(), data].slice(-5));
  }

  /** Takes the newest text that was set aside. @returns {object | undefined} */
  takeAside() {
    const texts = this.asides();
    const newest = texts.pop();
    write(this.asideKey, texts);
    return newest;
  }
}

/** @param {string} key @param {unknown} value */
function write(key, value) {
  try {
    localStorage.setItem(key, JSON.stringify(value));
    return true;
  } catch (error) {
    if (error instanceof DOMException) return false; // full, or forbidden
    throw error;
  }
}

/** @param {string} key @returns {any} */
function read(key) {
  try {
    return JSON.parse(localStorage.getItem(key) ?? "null");
  } catch (error) {
    if (error instanceof SyntaxError) return null;
    throw error;
  }
}
