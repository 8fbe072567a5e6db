/** The service worker: the practice page without a signal, and logs that go out later. */
import { answerTo } from "./answer.js";
import { keepKit, keepNoSignal } from "./keep.js";
import { all } from "./queue.js";
import { sendAll } from "./send.js";

const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));

worker.addEventListener("install", (event) => event.waitUntil(keepNoSignal().then(() => worker.skipWaiting())));
worker.addEventListener("activate", (event) => event.waitUntil(worker.clients.claim()));

worker.addEventListener("fetch", (event) => {
  const answer = answerTo(event);
  if (answer) event.respondWith(answer);
});

// Background Sync, where the browser has it: the page may be closed by then
worker.addEventListener("sync", (event) => event.waitUntil(sendInBackground()));

worker.addEventListener("message", (event) => {
  if (event.data === "keep") event.waitUntil(keep());
});

/** What still waits is an error for the browser, which then tries again some minutes later. */
async function sendInBackground() {
  await sendAll();
  if ((await all()).some((log) => log.state === "waiting")) throw new Error("Logs wait for a signal");
}

/** @type {Promise<void> | null} */
let keeping = null;

/** Keep what the site says, once at a time, and tell the pages how far it is. */
function keep() {
  keeping ??= keepKit()
    .then((kept) => tell({ kept }))
    .catch(() => tell({ kept: null })) // no signal, or no room: what was kept stays
    .finally(() => {
      keeping = null;
    });
  return keeping;
}

/** @param {object} message */
async function tell(message) {
  for (const client of await worker.clients.matchAll()) client.postMessage(message);
}
