/** Logs that wait for a signal, and those the site refused, shown where the person looks. */
import { all, onChange, put, remove } from "./phone/queue.js";
import { sendAll } from "./phone/send.js";

/** Show them in a place, always as they are now. @param {HTMLElement} place @param {string} who */
export function showWaiting(place, who) {
  const draw = async () => {
    const own = (await all()).filter((log) => log.who === who);
    const waiting = own.filter((log) => log.state === "waiting");
    const refused = own.filter((log) => log.state === "refused");
    place.replaceChildren(...(waiting.length ? [waitingWords(waiting.length)] : []), ...refused.map(refusedNote));
  };
  onChange(draw);
  draw();
}

/** @param {number} count */
function waitingWords(count) {
  const said = count === 1 ? "1 log waits" : `${count} logs wait`;
  return element("p", "notice", `${said} on this phone for a signal, and ${count === 1 ? "goes" : "go"} out by ${count === 1 ? "itself" : "themselves"}.`);
}

/** @param {import("./phone/queue.js").Waiting} log */
function refusedNote(log) {
  const note = element("div", "notice wrong");
  const day = new Date(`${log.day}T12:00:00`).toLocaleDateString("en-GB", { weekday: "long", day: "numeric", month: "long" });
  note.append(element("p", "", `${log.name} on ${day} was not taken. ${log.why}`));
  if (log.said.note) note.append(element("p", "small", `Your note: ${log.said.note}`));
  const buttons = element("p", "buttons");
  const again = button(log.may_add ? "Keep both" : "Try again", async () => {
    await put({ ...log, state: "waiting", again: log.again || Boolean(log.may_add) });
    sendAll();
  });
  buttons.append(again, button("Let it go", () => remove(log.client_id)));
  note.append(buttons);
  return note;
}

/** @param {string} words @param {() => void} then */
function button(words, then) {
  const made = /** @type {HTMLButtonElement} */ (element("button", "button", words));
  made.type = "button";
  made.addEventListener("click", then);
  return made;
}

/** @param {string} name @param {string} classes @param {string} [words] */
function element(name, classes, words = "") {
  const made = document.createElement(name);
  made.className = classes;
  made.textContent = words;
  return made;
}
