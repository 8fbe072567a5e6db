/** On the lesson page: a tap without a signal waits on the phone instead of getting lost. */
import { livePhone } from "./phone/phone.js";
import { add, dayIn, onChange, unknownTo } from "./phone/queue.js";
import { sendAll } from "./phone/send.js";
import { showWaiting } from "./waiting.js";

const section = /** @type {HTMLElement} */ (document.querySelector("[data-taps]"));
const { who = "", zone = "", made = "" } = section.dataset;

showWaiting(/** @type {HTMLElement} */ (section.querySelector("[data-waiting]")), who);
livePhone();
onChange(draw);
draw();

// Before the page's own word about it, which would say to try again
document.addEventListener("htmx:sendError", keepTap, { capture: true });

/** @param {Event} event */
async function keepTap(event) {
  const form = /** @type {CustomEvent} */ (event).detail.elt;
  const given = form instanceof HTMLFormElement && /\/given\/(\d+)\/log\/$/.exec(form.action);
  if (!given) return;
  event.stopImmediatePropagation();
  const data = new FormData(form);
  const name = form.closest(".todays-drill")?.querySelector("h3")?.textContent?.trim() ?? "";
  await add({
    client_id: String(data.get("client_id")),
    who,
    assignment: Number(given[1]),
    name,
    day: dayIn(zone, data.get("when") === "yesterday" ? 1 : 0),
    said: {},
    again: data.has("again"),
  });
  sendAll();
}

/** What is done today, with what the site may not have yet. */
async function draw() {
  for (const log of await unknownTo(who, dayIn(zone), Number(made))) {
    const drill = section.querySelector(`#given-${log.assignment}`);
    const form = drill?.querySelector("form:has([name='when'][value='today'])");
    if (!drill || drill.querySelector(".settled-words:not([data-kept])")) continue;
    const words = drill.querySelector("[data-kept]") ?? document.createElement("p");
    words.className = "settled-words";
    words.setAttribute("data-kept", "");
    words.textContent = log.state === "waiting" ? "Done today, waits for a signal" : "Done today";
    form?.replaceWith(words);
  }
}
