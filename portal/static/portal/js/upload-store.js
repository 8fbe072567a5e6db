/**
 * Uploads under way, kept in the browser so that a reload does not lose them.
 * A browser that keeps nothing (private windows, full disks) is no error: the upload still runs.
 *
 * @typedef {object} Kept
 * @property {string} id
 * @property {string} kind
 * @property {Record<string, string>} metadata
 * @property {string} url        where the pieces go; empty before the site has answered
 * @property {string} name
 * @property {number} size
 * @property {number} modified   the file's own date, to tell the same file again
 * @property {File | null} file  null where the browser could not keep the file itself
 */

const STORE = "uploads";
/** Ids let go of by this page: a file that took long to keep must not come back after that. @type {Set<string>} */
const gone = new Set();

/** @returns {Promise<IDBDatabase>} */
function open() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open("carryover-uploads", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "id" });
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
async function withStore(mode, work) {
  const database = await open();
  try {
    return await new Promise((resolve, reject) => {
      const transaction = database.transaction(STORE, mode);
      const asked = work(transaction.objectStore(STORE));
      transaction.oncomplete = () => resolve(asked.result);
      transaction.onabort = () => reject(transaction.error);
      transaction.onerror = () => reject(transaction.error);
    });
  } finally {
    database.close();
  }
}

/**
 * Remember an upload: at once without the file, which may take long to keep, then with it.
 * @param {Kept} kept
 */
export async function remember(kept) {
  try {
    await withStore("readwrite", (store) => store.put({ ...kept, file: null }));
    if (!gone.has(kept.id)) await withStore("readwrite", (store) => store.put(kept));
    if (gone.has(kept.id)) await forget(kept.id);
  } catch (error) {
    console.info("This browser does not keep the upload over a reload.", error);
  }
}

/** @param {string} id */
export async function forget(id) {
  gone.add(id);
  try {
    await withStore("readwrite", (store) => store.delete(id));
  } catch (error) {
    console.info("Nothing was kept of the upload.", error);
  }
}

/**
 * @param {string} kind
 * @returns {Promise<Kept[]>}
 */
export async function recall(kind) {
  try {
    const all = await withStore("readonly", (store) => store.getAll());
    return all.filter((/** @type {Kept} */ kept) => kept.kind === kind);
  } catch (error) {
    console.info("This browser keeps no uploads.", error);
    return [];
  }
}
