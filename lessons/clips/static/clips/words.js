/** A moment of a clip in words: '0.150 s', later '1:13.215'. @param {number} us in real time */
export function timeWords(us) {
  const ms = Math.round(us / 1000);
  if (ms < 60_000) return `${(ms / 1000).toFixed(3)} s`;
  const rest = String(ms % 60_000).padStart(5, "0");
  return `${Math.floor(ms / 60_000)}:${rest.slice(0, 2)}.${rest.slice(2)}`;
}
