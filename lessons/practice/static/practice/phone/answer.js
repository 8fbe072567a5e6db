/** How the worker answers: pages from the site first, what was kept when there is no signal. */
import { NO_SIGNAL, PRIVATE, PUBLIC, keepShown, saw } from "./keep.js";
import { partOf } from "./ranges.js";

const PATIENCE_MS = 4000;
const HASHED = /\.[0-9a-f]{12}\.\w+$/;

/** @param {FetchEvent} event @returns {Promise<Response> | null} null: as if there were no worker */
export function answerTo(event) {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (origin !== location.origin || request.method !== "GET") return null;
  if (request.mode === "navigate") return page(event);
  if (pathname.startsWith("/static/")) return staticFile(request);
  if (/^\/(clips|stills)\//.test(pathname)) return file(request);
  return null;
}

/** @param {FetchEvent} event */
async function page(event) {
  const { request } = event;
  const kept = await caches.match(request, { cacheName: PRIVATE });
  const asked = fetch(request).then(async (answer) => {
    await saw(answer);
    event.waitUntil(keepShown(request, answer.clone()));
    return answer;
  });
  try {
    // On a weak signal what was kept is better than a white page
    return await (kept ? Promise.race([asked, late(kept)]) : asked);
  } catch {
    return kept ?? (await caches.match(NO_SIGNAL, { cacheName: PUBLIC })) ?? Response.error();
  }
}

/** @param {Response} kept @returns {Promise<Response>} */
function late(kept) {
  return new Promise((resolve) => setTimeout(() => resolve(kept), PATIENCE_MS));
}

/** @param {Request} request */
async function staticFile(request) {
  const kept = await caches.match(request, { cacheName: PUBLIC, ignoreVary: true });
  if (kept && HASHED.test(new URL(request.url).pathname)) return kept;
  try {
    return await (kept ? Promise.race([fetch(request), late(kept)]) : fetch(request));
  } catch {
    return kept ?? Response.error();
  }
}

/** @param {Request} request */
async function file(request) {
  const kept = await caches.match(request.url, { cacheName: PRIVATE, ignoreVary: true });
  return kept ? partOf(kept, request.headers.get("Range")) : fetch(request);
}
