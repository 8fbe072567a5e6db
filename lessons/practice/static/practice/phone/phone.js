/** What a page does with the phone: registers the worker, sends what waits, says what is kept. */
import { onChange } from "./queue.js";
import { sendAll } from "./send.js";

const AGAIN_MS = 30_000;

/** @param {(kept: {files: number, of: number, bytes: number}) => void} [onKept] */
export async function livePhone(onKept) {
  addEventListener("online", sendAll);
  document.addEventListener("visibilitychange", () => document.hidden || sendAll());
  setInterval(sendAll, AGAIN_MS);
  sendAll();
  // So that the browser, short of room, does not let logs go that still wait
  navigator.storage?.persist?.();
  if (!("serviceWorker" in navigator)) return;
  navigator.serviceWorker.addEventListener("message", ({ data }) => data.kept && onKept?.(data.kept));
  const registration = await navigator.serviceWorker.register("/worker.js", { type: "module", updateViaCache: "none" });
  const { active } = await navigator.serviceWorker.ready;
  active?.postMessage("keep");
  onChange(() => wakeLater(registration));
}

/** Let the worker send when there is a signal, even if the page is closed by then. @param {ServiceWorkerRegistration} registration */
async function wakeLater(registration) {
  try {
    // @ts-ignore Background Sync is not in every browser
    await registration.sync?.register("logs");
  } catch {
    // Not allowed here: the page sends when it is opened
  }
}
