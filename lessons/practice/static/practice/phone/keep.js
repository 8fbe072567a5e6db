/**
 * What the phone keeps: public files of the site, and the private pages and files of one person.
 * Another person's sign-in, or a sign-out, deletes all that is private.
 */
export const PUBLIC = "carryover-public";
export const PRIVATE = "carryover-private";
export const NO_SIGNAL = "/today/no-signal/";
const WHOSE = "/whose";
const HEADER = "Carryover-Who";

/** For whom something is kept, or "". */
export async function keptFor() {
  if (!(await caches.has(PRIVATE))) return "";
  const note = await (await caches.open(PRIVATE)).match(WHOSE);
  return note ? note.text() : "";
}

export const forget = () => caches.delete(PRIVATE);

/** Look at an answer of the site: if it is for another person or nobody, forget what was kept. @param {Response} answer */
export async function saw(answer) {
  const who = answer.headers.get(HEADER);
  const kept = who && (await keptFor());
  if (kept && kept !== who) await forget();
}

/** What shows when nothing else can. */
export async function keepNoSignal() {
  const answer = await fetch(NO_SIGNAL, { credentials: "omit" });
  const needs = await staticOf(await answer.clone().text());
  await (await caches.open(PUBLIC)).put(NO_SIGNAL, answer);
  await keepStatic(needs);
}

/** Take anew a page that is kept, as it was just shown. @param {Request} request @param {Response} answer */
export async function keepShown(request, answer) {
  if (!answer.ok || answer.redirected || answer.headers.get(HEADER) !== (await keptFor())) return;
  const kept = await caches.open(PRIVATE);
  if (await kept.match(request)) await kept.put(request, answer);
}

/**
 * Fetch all that the site says to keep, and let go of what it no longer names.
 * @returns {Promise<{files: number, of: number, bytes: number} | null>} null when signed out
 */
export async function keepKit() {
  const told = await fetch("/today/kit.json", { cache: "no-store" });
  if (told.redirected || !told.ok) {
    if (told.redirected || told.status === 404) await forget();
    return null;
  }
  const kit = await told.json();
  if ((await keptFor()) !== kit.who) await forget();
  const kept = await caches.open(PRIVATE);
  await kept.put(WHOSE, new Response(kit.who));
  const needs = new Set(await staticOf((await (await caches.match(NO_SIGNAL))?.text()) ?? ""));
  for (const url of kit.pages) {
    // The site does not take this for reading
    const answer = await fetch(url, { headers: { Purpose: "prefetch" }, cache: "no-store" });
    if (answer.redirected || answer.headers.get(HEADER) !== kit.who) return forget().then(() => null);
    if (!answer.ok) continue;
    (await staticOf(await answer.clone().text())).forEach((one) => needs.add(one));
    await kept.put(url, answer);
  }
  await keepStatic([...needs], true);
  let files = 0;
  for (const { url } of kit.files) {
    if (await kept.match(url)) files += 1;
    else if (await keepFile(kept, url)) files += 1;
  }
  const named = new Set([WHOSE, ...kit.pages, ...kit.files.map((/** @type {{url: string}} */ file) => file.url)]);
  for (const request of await kept.keys()) {
    const { pathname, search } = new URL(request.url);
    if (!named.has(pathname + search)) await kept.delete(request);
  }
  // Somebody else may have signed in meanwhile
  if ((await keptFor()) !== kit.who) return forget().then(() => null);
  return { files, of: kit.files.length, bytes: kit.bytes };
}

/** @param {Cache} kept @param {string} url */
async function keepFile(kept, url) {
  try {
    // From the site itself, also where it sends others to a store of another origin
    const answer = await fetch(url, { headers: { "Carryover-Keep": "1" } });
    if (answer.status !== 200 || answer.headers.get("Content-Type")?.startsWith("text/html")) return false;
    await kept.put(url, new Response(await answer.blob(), { headers: answer.headers }));
    return true;
  } catch {
    return false; // no signal, or no room left: the next one may fit
  }
}

/** The static files that a page names. @param {string} html */
async function staticOf(html) {
  return [...html.matchAll(/(?:href|src)="(\/static\/[^"]+)"/g)].map((found) => found[1]);
}

/** Keep static files and what their modules import. @param {string[]} urls @param {boolean} [only] drop all others */
async function keepStatic(urls, only = false) {
  const kept = await caches.open(PUBLIC);
  const wanted = [...new Set(urls)];
  for (let at = 0; at < wanted.length; at += 1) {
    const answer = await fetch(wanted[at]);
    if (!answer.ok) continue;
    if (/\.js$/.test(wanted[at])) {
      for (const found of (await answer.clone().text()).matchAll(/(?:from|import)\s*\(?\s*"(\.[^"]+)"/g)) {
        const { pathname } = new URL(found[1], new URL(wanted[at], location.origin));
        if (!wanted.includes(pathname)) wanted.push(pathname);
      }
    }
    await kept.put(wanted[at], answer);
  }
  if (!only) return;
  for (const request of await kept.keys()) {
    const { pathname } = new URL(request.url);
    if (pathname.startsWith("/static/") && !wanted.includes(pathname)) await kept.delete(request);
  }
}
