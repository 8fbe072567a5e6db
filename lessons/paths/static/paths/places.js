/**
 * Where a followed patch was, as the page brings it: [time_us, x, y, confidence, scale, error_px] a frame.
 * @typedef {[number, number | null, number | null, number, number | null]} Row
 * @typedef {import("./box.js").Box} Box
 */
const SURE = 0.7; // as in media_tools.follow
const SECONDS = new Intl.NumberFormat("en", { minimumFractionDigits: 3, maximumFractionDigits: 3, signDisplay: "negative" });

/** @param {Row[]} rows @returns {Map<number, Row>} by the frame's time */
export function readPlaces(rows) {
  return new Map(rows.map((row) => [row[0], row]));
}

/** The patch's box in a frame; null where it was not found. @param {Map<number, Row>} places @param {number} timeUs @param {number[]} size @returns {Box | null} */
export function boxAt(places, timeUs, [width, height]) {
  const row = places.get(timeUs);
  if (!row) return null;
  const [, x, y, confidence, scale] = row;
  if (x === null || y === null) return null;
  return { x, y, width: width * (scale ?? 1), height: height * (scale ?? 1), isSure: confidence >= SURE };
}

/** When a frame is, in words: '0.300 s after P1'. @param {number} seconds @param {string} [origin] */
export function when(seconds, origin) {
  if (!origin) return `${SECONDS.format(seconds)} s`;
  return seconds < 0 ? `${SECONDS.format(-seconds)} s before ${origin}` : `${SECONDS.format(seconds)} s after ${origin}`;
}
