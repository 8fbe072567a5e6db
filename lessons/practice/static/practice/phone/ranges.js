/**
 * A part of a kept file: a video element asks for byte ranges (RFC 9110, section 14), and plays
 * from what was kept whole only if it gets them.
 */

/**
 * @param {Response} whole a kept answer with all of the file
 * @param {string | null} asked the Range header
 * @returns {Promise<Response>} 206 with the part, 416 if there is none, else the whole
 */
export async function partOf(whole, asked) {
  const wanted = /^bytes=(\d*)-(\d*)$/.exec(asked ?? "");
  if (!wanted || (!wanted[1] && !wanted[2])) return whole;
  const body = await whole.blob();
  const [first, last] = bounds(wanted[1], wanted[2], body.size);
  const headers = new Headers(whole.headers);
  headers.set("Accept-Ranges", "bytes");
  headers.delete("Content-Encoding");
  if (first > last || first >= body.size) {
    headers.set("Content-Range", `bytes */${body.size}`);
    headers.set("Content-Length", "0");
    return new Response(null, { status: 416, headers });
  }
  headers.set("Content-Range", `bytes ${first}-${last}/${body.size}`);
  headers.set("Content-Length", String(last - first + 1));
  return new Response(body.slice(first, last + 1, body.type), { status: 206, headers });
}

/** @param {string} from @param {string} to @param {number} size @returns {[number, number]} both included */
function bounds(from, to, size) {
  if (!from) return [Math.max(0, size - Number(to)), Number(to) ? size - 1 : -1];
  return [Number(from), to ? Math.min(Number(to), size - 1) : size - 1];
}
