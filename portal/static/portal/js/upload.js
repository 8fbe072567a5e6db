/**
 * Sends a file in pieces and does not let go of it: over lost connections, sleeping phones and
 * reloads. The site's own word on how much has arrived is the truth; nothing is counted here.
 */
import { forget, recall, remember } from "./upload-store.js";
import { WireError, begin, giveUp, sendPiece, standing } from "./upload-wire.js";
import { pauseBefore, rest } from "./waiting.js";

const PIECE_BYTES = 4 * 1024 * 1024;
const PLACE = "/uploads/";
const AT_ONCE = 2; // more lanes make each clip slower and none sooner

let free = AT_ONCE;
/** @type {(() => void)[]} */
const queue = [];

/** Do the work when it is its turn. @param {() => Promise<void>} work */
async function inTurn(work) {
  if (free > 0) free -= 1;
  else await new Promise((resolve) => queue.push(() => resolve(undefined)));
  try {
    await work();
  } finally {
    const next = queue.shift();
    if (next) next();
    else free += 1;
  }
}

/** Do the work in one window at a time, where the browser can tell. @param {string} id @param {() => Promise<void>} work */
async function alone(id, work) {
  if (navigator.locks) await navigator.locks.request(`upload-${id}`, work);
  else await work();
}

/**
 * One file on its way. Events, each a CustomEvent:
 * - `progress`: `{sent, total}` in bytes
 * - `waiting`: `{reason}`; it goes on by itself
 * - `refused`: `{reason, kept}`; with `kept` it can go on later with `start()`
 * - `missing`: `{name}`; it goes on when `attach` gets the same file again
 * - `done`: `{result}`, the address of what was made of it
 */
export class ResumableUpload extends EventTarget {
  /** @type {AbortController | null} */
  #running = null;
  #offset = 0;
  #inStep = false;

  /**
   * @param {File | null} file
   * @param {{kind: string, metadata?: Record<string, string>, pieceBytes?: number}} options
   * @param {import("./upload-store.js").Kept | null} kept
   */
  constructor(file, { kind, metadata = {}, pieceBytes = PIECE_BYTES }, kept = null) {
    super();
    this.file = file;
    this.pieceBytes = pieceBytes;
    /** @type {import("./upload-store.js").Kept} */
    this.kept = kept ?? {
      id: [...crypto.getRandomValues(new Uint32Array(4))].map((word) => word.toString(16)).join("-"),
      kind,
      metadata: { filename: file?.name ?? "", filetype: file?.type ?? "", ...metadata },
      url: "",
      name: file?.name ?? "",
      size: file?.size ?? 0,
      modified: file?.lastModified ?? 0,
      file,
    };
  }

  get name() {
    return this.kept.name;
  }

  get metadata() {
    return this.kept.metadata;
  }

  /** Send, or go on sending. Returns when it is done, refused or paused. */
  async start() {
    if (this.#running) return;
    const running = new AbortController();
    this.#running = running;
    this.#inStep = false;
    try {
      await inTurn(() => alone(this.kept.id, () => this.#send(running.signal)));
    } finally {
      if (this.#running === running) this.#running = null;
    }
  }

  /** Stop for now; `start()` goes on. */
  pause() {
    this.#running?.abort();
    this.#running = null;
  }

  /** Give it up, here and at the site. */
  async cancel() {
    this.pause();
    await forget(this.kept.id);
    // The site removes by itself what it does not hear of again
    if (this.kept.url) await giveUp(this.kept.url).catch(() => undefined);
  }

  /**
   * The same file again, where the browser could not keep it. Returns whether it is the same.
   * @param {File} file
   */
  attach(file) {
    if (file.size !== this.kept.size || file.name !== this.kept.name || file.lastModified !== this.kept.modified) return false;
    this.file = file;
    this.start();
    return true;
  }

  /** @param {string} name @param {object} detail */
  #tell(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { detail }));
  }

  /** @param {AbortSignal} signal */
  async #send(signal) {
    let tries = 0;
    while (!signal.aborted) {
      try {
        if (await this.#step(signal)) return;
        tries = 0;
      } catch (error) {
        if (signal.aborted) return;
        if (!(error instanceof WireError)) throw error;
        this.#inStep = false;
        if (!error.outOfStep && !error.passing) {
          if (!error.keeps) await forget(this.kept.id);
          this.#tell("refused", { reason: error.message, kept: error.keeps });
          return;
        }
        tries += 1;
        this.#tell("waiting", { reason: navigator.onLine ? "The connection is weak. Sending goes on by itself." : "No connection. Sending goes on when it is back." });
        await rest(pauseBefore(tries), signal);
      }
    }
  }

  /** One request to the site; true when nothing is left to do. @param {AbortSignal} signal */
  async #step(signal) {
    const { kept } = this;
    if (!kept.url) {
      kept.url = await begin(PLACE, kept.size, { ...kept.metadata, kind: kept.kind });
      remember(kept);
      this.#inStep = true;
      this.#offset = 0;
      return false;
    }
    if (!this.#inStep) {
      const now = await standing(kept.url);
      this.#inStep = true;
      return this.#reached(now.offset, now.result);
    }
    const bytes = await this.#bytes();
    if (bytes === null) {
      this.#tell("missing", { name: kept.name });
      return true;
    }
    const from = this.#offset;
    const sent = await sendPiece(kept.url, from, bytes, (loaded) => this.#tell("progress", { sent: from + loaded, total: kept.size }), signal);
    return this.#reached(sent.offset, sent.result);
  }

  /** @param {number} offset @param {string} result */
  async #reached(offset, result) {
    this.#offset = offset;
    this.#tell("progress", { sent: offset, total: this.kept.size });
    if (offset < this.kept.size) return false;
    await forget(this.kept.id);
    this.#tell("done", { result });
    return true;
  }

  /** The next piece, or null if the file can't be read any more. */
  async #bytes() {
    try {
      return (await this.file?.slice(this.#offset, this.#offset + this.pieceBytes).arrayBuffer()) ?? null;
    } catch (error) {
      console.info("The file can't be read.", error);
      return null;
    }
  }
}

/**
 * Uploads that an earlier page began and did not end; call `start()` on each.
 * @param {string} kind
 */
export async function pendingUploads(kind) {
  const all = await recall(kind);
  return all.map((kept) => new ResumableUpload(kept.file, { kind, metadata: kept.metadata }, kept));
}
