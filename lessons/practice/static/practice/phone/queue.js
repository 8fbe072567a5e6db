/**
 * Logs that wait on the phone for a signal, in IndexedDB; pages and the worker share them.
 * A log leaves only when the site has it, or when the person lets a refused one go.
 *
 * @typedef {object} Waiting
 * @property {string} client_id made here: one id is one log, however often it is sent
 * @property {string} who whose it is, an opaque name; never sent or shown under another person
 * @property {number} assignment
 * @property {string} name the drill's
 * @property {string} day ISO date where the student is
 * @property {number} made_at milliseconds
 * @property {"waiting" | "sent" | "refused"} state
 * @property {Record<string, string>} said what else goes with it: sets, reps, minutes, felt, note, hurt
 * @property {boolean} [again]
 * @property {number} [at] when the site took it, in seconds of the site's clock
 * @property {string} [why] the site's reason
 * @property {boolean} [may_add] refused only because the day has one: it may be kept beside it
 */
const NAME = "carryover-practice";
const STORE = "logs";
const SENT_DAYS = 2;

/** @returns {Promise<IDBDatabase>} */
function open() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "client_id" });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

/**
 * @template T
 * @param {IDBTransactionMode} mode
 * @param {(store: IDBObjectStore) => IDBRequest<T>} work
 * @returns {Promise<T>}
 */
async function within(mode, work) {
  const database = await open();
  try {
    return await new Promise((resolve, reject) => {
      const transaction = database.transaction(STORE, mode, { durability: "strict" });
      const asked = work(transaction.objectStore(STORE));
      // Only a transaction that is through has it on the disk
      transaction.oncomplete = () => resolve(asked.result);
      transaction.onabort = transaction.onerror = () => reject(transaction.error);
    });
  } finally {
    database.close();
  }
}

/** @returns {Promise<Waiting[]>} oldest first */
export async function all() {
  const found = await within("readonly", (store) => store.getAll());
  return found.sort((one, other) => one.made_at - other.made_at);
}

/**
 * Logs of a person and a day that a page does not show by itself: those the site has not, and those
 * it took after the page was made (a kept page may be old; a new one knows of them, and of an undo).
 * @param {string} who @param {string} day @param {number} made when the page was, by the site's clock
 */
export async function unknownTo(who, day, made) {
  const own = (await all()).filter((log) => log.who === who && log.day === day);
  return own.filter((log) => log.state === "waiting" || (log.state === "sent" && (log.at ?? 0) > made));
}

/** @param {Waiting} log */
export async function put(log) {
  await within("readwrite", (store) => store.put(log));
  tell();
}

/** @param {string} client_id */
export async function remove(client_id) {
  await within("readwrite", (store) => store.delete(client_id));
  tell();
}

/** A log of today or of another day, kept here first. @param {Omit<Waiting, "state" | "made_at">} log */
export function add(log) {
  return put({ ...log, state: "waiting", made_at: Date.now() });
}

/** Sent ones stay a while, so that a kept page knows of them; then they go. */
export async function tidy() {
  const old = Date.now() - SENT_DAYS * 24 * 3600 * 1000;
  for (const log of await all()) {
    if (log.state === "sent" && log.made_at < old) await remove(log.client_id);
  }
}

const channel = new BroadcastChannel("carryover-logs");

function tell() {
  channel.postMessage("changed");
  globalThis.dispatchEvent(new Event("logs-changed"));
}

/** Call `then` whenever the waiting logs change, here, in another tab or in the worker. @param {() => void} then */
export function onChange(then) {
  channel.addEventListener("message", then);
  globalThis.addEventListener("logs-changed", then);
}

/** A random UUID, also where the page did not come over https. */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

/** The day it is now in a time zone, as an ISO date. @param {string} zone @param {number} [back] days before */
export function dayIn(zone, back = 0) {
  const parts = { year: "numeric", month: "2-digit", day: "2-digit" };
  let format;
  try {
    format = new Intl.DateTimeFormat("en-CA", { ...parts, timeZone: zone });
  } catch {
    format = new Intl.DateTimeFormat("en-CA", parts);
  }
  // Counted in days of the calendar: a day of 23 or 25 hours must not shift it
  const day = new Date(`${format.format(new Date())}T12:00:00Z`);
  day.setUTCDate(day.getUTCDate() - back);
  return day.toISOString().slice(0, 10);
}
