/** Tones and vibration. A browser lets sound begin only after a tap, so all of this follows one. */

/** @type {AudioContext | null} */
let context = null;

/** The one sound output of the page. */
export function output() {
  context ??= new AudioContext();
  if (context.state === "suspended") context.resume();
  return context;
}

/**
 * @param {number} pitch_hz
 * @param {number} seconds how long
 * @param {number} [at] when, on the output's own clock
 * @param {number} [loud] 0 to 1
 */
export function tone(pitch_hz, seconds, at = output().currentTime, loud = 0.35) {
  const out = output();
  const voice = out.createOscillator();
  const volume = out.createGain();
  voice.frequency.value = pitch_hz;
  // Without a soft edge it clicks
  volume.gain.setValueAtTime(0, at);
  volume.gain.linearRampToValueAtTime(loud, at + 0.008);
  volume.gain.setTargetAtTime(0, at + seconds * 0.5, seconds * 0.2);
  voice.connect(volume).connect(out.destination);
  voice.start(at);
  voice.stop(at + seconds + 0.1);
  return voice;
}

/** A set or a time is over. */
export function chime() {
  const now = output().currentTime;
  tone(660, 0.18, now);
  tone(880, 0.3, now + 0.2);
  buzz([180, 90, 180]);
}

/** @param {number | number[]} pattern_ms */
export function buzz(pattern_ms) {
  navigator.vibrate?.(pattern_ms);
}
