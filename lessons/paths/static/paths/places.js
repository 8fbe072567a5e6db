/**
 * Where a followed patch was, as the page brings it: [time_us, x, y, confidence, scale] a frame.
 * @typedef {[number, number | null, number | null, number, number | null]} Row
 * @typedef {import("./box.js").Box} Box
 */
const SURE = 0.7; // as in media_tools.follow

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
