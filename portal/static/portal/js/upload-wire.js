/**
 * The requests of the tus protocol, version 1.0.0 (https://tus.io/protocols/resumable-upload).
 */

const VERSION = { "Tus-Resumable": "1.0.0" };
const SILENCE_MS = 60_000; // a piece that does not move for so long is sent again

/** What the site answered instead of going on. `status` 0 is a broken line. */
export class WireError extends Error {
  /** @param {number} status @param {string} sentence */
  constructor(status, sentence) {
    super(sentence);
    this.status = status;
  }

  /** Whether asking the site where it stands, and going on from there, is all that is needed. */
  get outOfStep() {
    return this.status === 409 || this.status === 460;
  }

  /** Whether the same request may work a little later. */
  get passing() {
    return this.status === 0 || this.status === 429 || (this.status >= 500 && this.status !== 507);
  }

  /** Whether what was sent is still good after the person has done something. */
  get keeps() {
    return [401, 403, 507].includes(this.status);
  }
}

/** How far an upload is, and where what was made of it can be seen. */
export class Standing {
  /** @param {number} offset @param {string | null} result */
  constructor(offset, result) {
    this.offset = offset;
    this.result = result ?? "";
  }
}

/** The token against forged requests; read anew each time, since signing in again changes it. */
function token() {
  const found = document.cookie.match(/(?:^|; )carryover_csrf=([^;]+)/);
  return found ? decodeURIComponent(found[1]) : "";
}

/** @param {string} text */
function coded(text) {
  return btoa(String.fromCharCode(...new TextEncoder().encode(text)));
}

/** @param {number} status @param {string} type @param {string} text */
function trouble(status, type, text) {
  if (type.startsWith("text/plain") && text) return new WireError(status, text);
  if (status === 401 || status === 403) return new WireError(status, "Sign in again, then go on. What was sent is kept.");
  return new WireError(status, "The site could not take the file. Try again in a while.");
}

/**
 * @param {string} url
 * @param {string} method
 * @param {Record<string, string>} headers
 */
async function ask(url, method, headers = {}) {
  let response;
  try {
    response = await fetch(url, { method, headers: { ...VERSION, "X-CSRFToken": token(), ...headers }, cache: "no-store" });
  } catch {
    throw new WireError(0, "No connection.");
  }
  if (!response.ok) throw trouble(response.status, response.headers.get("Content-Type") ?? "", await response.text());
  return response;
}

/**
 * Begin an upload; returns the address for its pieces.
 * @param {string} place
 * @param {number} size
 * @param {Record<string, string>} metadata
 */
export async function begin(place, size, metadata) {
  const pairs = Object.entries(metadata).map(([key, value]) => `${key} ${coded(value)}`.trim());
  const response = await ask(place, "POST", { "Upload-Length": String(size), "Upload-Metadata": pairs.join(",") });
  return new URL(response.headers.get("Location") ?? "", location.href).href;
}

/** @param {string} url */
export async function standing(url) {
  const response = await ask(url, "HEAD");
  return new Standing(Number(response.headers.get("Upload-Offset")), response.headers.get("Carryover-Result"));
}

/** @param {string} url */
export async function giveUp(url) {
  await ask(url, "DELETE");
}

/** @param {ArrayBuffer} bytes */
async function checksum(bytes) {
  // Only pages on https or on this machine itself have crypto.subtle
  if (!globalThis.crypto?.subtle) return null;
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return `sha256 ${btoa(String.fromCharCode(...digest))}`;
}

/**
 * Send one piece. XMLHttpRequest, because fetch tells nothing of a body on its way.
 * @param {string} url
 * @param {number} offset
 * @param {ArrayBuffer} bytes
 * @param {(sent: number) => void} onProgress
 * @param {AbortSignal} signal
 * @returns {Promise<Standing>}
 */
export async function sendPiece(url, offset, bytes, onProgress, signal) {
  const sum = await checksum(bytes);
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    let silence = 0;
    const listen = () => {
      clearTimeout(silence);
      silence = setTimeout(() => request.abort(), SILENCE_MS);
    };
    const stop = () => request.abort();
    request.open("PATCH", url);
    const headers = { ...VERSION, "X-CSRFToken": token(), "Upload-Offset": String(offset), "Content-Type": "application/offset+octet-stream" };
    for (const [name, value] of Object.entries(headers)) request.setRequestHeader(name, value);
    if (sum) request.setRequestHeader("Upload-Checksum", sum);
    request.upload.onprogress = (event) => {
      listen();
      onProgress(event.loaded);
    };
    request.onload = () => {
      if (request.status === 204) {
        resolve(new Standing(Number(request.getResponseHeader("Upload-Offset")), request.getResponseHeader("Carryover-Result")));
      } else {
        reject(trouble(request.status, request.getResponseHeader("Content-Type") ?? "", request.responseText));
      }
    };
    request.onerror = request.onabort = () => reject(new WireError(0, "No connection."));
    request.onloadend = () => {
      clearTimeout(silence);
      signal.removeEventListener("abort", stop);
    };
    signal.addEventListener("abort", stop);
    if (signal.aborted) return reject(new WireError(0, "Paused."));
    listen();
    request.send(bytes);
  });
}
