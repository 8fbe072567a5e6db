/**
 * How each swing's picture is laid into a cell of the first one's shape, so that two matched
 * points of each come to the same distance and the same middle. No picture is turned.
 * The same as media_tools/beside/windows.py; one test runs both over one table.
 *
 * @typedef {[number, number]} Point
 * @typedef {{width: number, height: number, mirrored: boolean, points: [Point, Point] | null}} Picture
 *   points are shares of width and height, before it is mirrored
 * @typedef {{scale: number, left: number, top: number}} Window
 *   cell = (mirrored) picture * scale + (left, top), in pixels of the first picture
 */

/** @param {Picture[]} pictures @param {number} zoom brings all closer, about what is matched @returns {Window[]} */
export function windows(pictures, zoom) {
  const [first] = pictures;
  const matched = pictures.every((picture) => span(picture) > 0);
  const middle = [first.width / 2, first.height / 2];
  const goal = matched ? middleOf(first) : middle;
  const place = middle.map((m, k) => m + (goal[k] - m) / zoom);
  return pictures.map((picture) => {
    const fits = Math.min(first.width / picture.width, first.height / picture.height);
    const scale = zoom * (matched ? span(first) / span(picture) : fits);
    const spot = matched ? middleOf(picture) : [picture.width / 2, picture.height / 2];
    return { scale, left: place[0] - scale * spot[0], top: place[1] - scale * spot[1] };
  });
}

/** The two points in pixels, where they lie once the picture is mirrored. @param {Picture} picture */
function pixels({ width, height, mirrored, points }) {
  return (points ?? [[0, 0], [0, 0]]).map(([x, y]) => [(mirrored ? 1 - x : x) * width, y * height]);
}

/** @param {Picture} picture */
function span(picture) {
  const [a, b] = pixels(picture);
  return picture.points ? Math.hypot(b[0] - a[0], b[1] - a[1]) : 0;
}

/** @param {Picture} picture */
function middleOf(picture) {
  const [a, b] = pixels(picture);
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
}
