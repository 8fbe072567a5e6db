/**
 * Sends the logs that wait, each exactly once as far as the site counts: it knows them by their id.
 * Runs in a page and, where the browser can, in the worker after the page was closed.
 */
import { all, put, tidy } from "./queue.js";

/** Send what waits for the person who is signed in. Throws nothing: what stays, waits. */
export function sendAll() {
  return navigator.locks.request("carryover-send", async () => {
    const waiting = (await all()).filter((log) => log.state === "waiting");
    if (!waiting.length) return tidy();
    try {
      const person = await whoIsThere();
      for (const log of waiting) {
        if (person && log.who === person.who) await send(log, person.token);
      }
    } catch (trouble) {
      if (!(trouble instanceof TypeError)) throw trouble; // fetch's word for 'no signal'
    }
    return tidy();
  });
}

/** @returns {Promise<{who: string, token: string} | null>} null when signed out */
export async function whoIsThere() {
  const answer = await fetch("/today/who.json", { cache: "no-store" });
  return isJson(answer) && answer.ok ? answer.json() : null;
}

/** @param {import("./queue.js").Waiting} log @param {string} token */
async function send(log, token) {
  const body = new URLSearchParams({ ...log.said, client_id: log.client_id, day: log.day, who: log.who });
  if (log.again) body.set("again", "on");
  const answer = await fetch(`/given/${log.assignment}/keep/`, {
    method: "POST",
    body,
    headers: { "X-CSRFToken": token },
  });
  if (answer.ok && isJson(answer)) {
    await put({ ...log, state: "sent", why: "", at: (await answer.json()).at });
  } else if ([409, 422].includes(answer.status) && isJson(answer)) {
    const { why, may_add } = await answer.json();
    await put({ ...log, state: "refused", why, may_add });
  } else if (answer.status === 404) {
    await put({ ...log, state: "refused", why: "This drill is not yours any more. Ask your coach." });
  }
  // Signed out, another person, or a site in trouble: it waits
}

/** @param {Response} answer */
const isJson = (answer) => (answer.headers.get("Content-Type") ?? "").startsWith("application/json");
