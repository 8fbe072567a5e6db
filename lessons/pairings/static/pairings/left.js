/**
 * What could not be saved of a pairing yet, on this device, so that a page that is left takes
 * nothing along.
 * @typedef {import("./settings.js").Kept} Kept
 */
export class Left {
  /** @param {string} url where it is saved, which names it */
  constructor(url) {
    this.key = `carryover.pairing.${url}`;
  }

  /** @returns {Kept | null} */
  read() {
    try {
      return JSON.parse(localStorage.getItem(this.key) ?? "null");
    } catch {
      return null; // the device keeps nothing, or something else under this name
    }
  }

  /** @param {number} version on which it was set @param {Kept["settings"]} settings */
  keep(version, settings) {
    try {
      localStorage.setItem(this.key, JSON.stringify({ version, settings }));
    } catch {
      // A full or closed store: the site is then the only place, and the page says if that fails
    }
  }

  forget() {
    try {
      localStorage.removeItem(this.key);
    } catch {
      // nothing was kept there
    }
  }
}
