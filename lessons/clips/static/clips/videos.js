/** Small things about video elements. */

/** How long nobody moves along before the exact frame takes the place of the light picture. */
export const SETTLES_MS = 150;
/** What browsers play at. */
const [SLOWEST, FASTEST] = [0.0625, 16];

/** @param {HTMLVideoElement} video */
export function tellsFrames(video) {
  return "requestVideoFrameCallback" in video;
}

/** @param {HTMLVideoElement} video @param {string} name */
export function heard(video, name) {
  return new Promise((resolve, reject) => {
    video.addEventListener(name, resolve, { once: true });
    video.addEventListener("error", reject, { once: true });
  });
}

/** @param {number} rate */
export function inRange(rate) {
  return Math.max(SLOWEST, Math.min(FASTEST, rate));
}
