/**
 * Waiting before the next try: longer each time, and not longer than needed.
 */

const FIRST_MS = 1_000;
const LONGEST_MS = 60_000;

/**
 * How long to wait before try number `tries` (from 1), with some chance in it, so that many phones
 * that lost the same connection do not all come back in the same moment.
 * @param {number} tries
 * @param {() => number} chance  0 to 1
 */
export function pauseBefore(tries, chance = Math.random) {
  return Math.min(LONGEST_MS, FIRST_MS * 2 ** (tries - 1)) * (0.5 + chance() / 2);
}

/**
 * Resolves after the pause, or at once when the connection or the person comes back, or when the
 * signal says so.
 * @param {number} milliseconds
 * @param {AbortSignal} signal
 * @returns {Promise<void>}
 */
export function rest(milliseconds, signal) {
  return new Promise((resolve) => {
    const seen = () => document.visibilityState === "visible" && over();
    const timer = setTimeout(over, milliseconds);
    function over() {
      clearTimeout(timer);
      removeEventListener("online", over);
      document.removeEventListener("visibilitychange", seen);
      signal.removeEventListener("abort", over);
      resolve();
    }
    addEventListener("online", over);
    document.addEventListener("visibilitychange", seen);
    signal.addEventListener("abort", over);
    if (signal.aborted) over();
  });
}
