/**
 * The tempo metronome: counts back, a higher one at the top, counts down, the highest at the strike;
 * then a rest, and again. Three counts back to one down is common practice; measured swings of
 * skilled players lie around it (median 3.4, GolfDB, arXiv 1903.06528), so both counts are settable.
 */
import { output, tone } from "./sound.js";

const KEPT = "carryover-tempo";
const USUAL = { back: 3, down: 1, count_s: 0.27, rest_s: 6 };
const FIELDS = [
  { name: "back", label: "Back", min: 1, max: 8, step: 1 },
  { name: "down", label: "Down", min: 1, max: 8, step: 1 },
  { name: "count_s", label: "Count, seconds", min: 0.15, max: 1.2, step: 0.01 },
  { name: "rest_s", label: "Rest, seconds", min: 2, max: 30, step: 1 },
];

/** @typedef {typeof USUAL} Tempo */

/** When each tone of one swing sounds, in seconds from its start. @param {Tempo} tempo */
export function beats({ back, down, count_s }) {
  const made = [];
  for (let n = 0; n < back + down; n += 1) made.push({ at: n * count_s, pitch_hz: n === back ? 880 : 587 });
  made.push({ at: (back + down) * count_s, pitch_hz: 1175 });
  return made;
}

class Metronome {
  /** @type {OscillatorNode[]} */ voices = [];
  timer = 0;

  /** @param {() => Tempo} tempo read anew at each swing */
  start(tempo) {
    this.stop();
    this.swing(tempo, output().currentTime + 0.3);
  }

  /** @param {() => Tempo} tempo @param {number} at */
  swing(tempo, at) {
    const now = tempo();
    this.voices = beats(now).map((beat) => tone(beat.pitch_hz, 0.09, at + beat.at, 0.5));
    const next = at + (now.back + now.down) * now.count_s + now.rest_s;
    // A timer of the page is coarse: it wakes early, and the sound's own clock says when
    this.timer = setTimeout(() => this.swing(tempo, next), (next - output().currentTime - 0.4) * 1000);
  }

  stop() {
    clearTimeout(this.timer);
    for (const voice of this.voices) voice.stop();
    this.voices = [];
  }
}

const metronome = new Metronome();
export const silence = () => metronome.stop();

/** @returns {Tempo} as it was set last */
function kept() {
  try {
    return { ...USUAL, ...JSON.parse(localStorage.getItem(KEPT) ?? "{}") };
  } catch {
    return USUAL;
  }
}

/** Fill a panel with the counts and a button. @param {HTMLElement} panel */
export function tempoPanel(panel) {
  const tempo = kept();
  panel.replaceChildren();
  for (const { name, label, ...bounds } of FIELDS) {
    const field = document.createElement("label");
    const input = document.createElement("input");
    Object.assign(input, { type: "number", inputMode: "decimal", ...bounds, value: tempo[name] });
    input.addEventListener("input", () => {
      if (!input.value || !input.checkValidity()) return;
      tempo[name] = Number(input.value);
      localStorage.setItem(KEPT, JSON.stringify(tempo));
    });
    field.append(label, input);
    panel.append(field);
  }
  const button = document.createElement("button");
  button.type = "button";
  button.className = "button";
  button.textContent = "Play";
  button.addEventListener("click", () => {
    const on = button.getAttribute("aria-pressed") !== "true";
    if (on) metronome.start(() => tempo);
    else metronome.stop();
    button.setAttribute("aria-pressed", String(on));
    button.textContent = on ? "Stop" : "Play";
  });
  panel.append(button);
}
