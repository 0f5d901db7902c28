/* Keeps the whole guide for use without a network, as one set: all of one version or nothing of it. */
"use strict";

const VERSION = /*VERSION*/ null;
const FILES = /*FILES*/ null; /* [path, base64 SHA-256, size] */

/* Two guides below one host keep apart by their path. */
const PREFIX = "plate-test-guide " + self.registration.scope + " ";
const CACHE = PREFIX + VERSION;
const LIST_KEY = new URL("__files__", self.registration.scope).href;
const AT_ONCE = 6;

const known = new Map(FILES.map(([path, hash]) => [path, hash]));
const total = FILES.reduce((sum, row) => sum + row[2], 0);
const address = (path) => new URL(path, self.registration.scope).href;

async function tell(message) {
  const pages = await self.clients.matchAll({ includeUncontrolled: true, type: "window" });
  pages.forEach((page) => page.postMessage(Object.assign({ guide: VERSION }, message)));
}

/* Files that did not change since a kept version, checked when that version was stored: path -> [cache, hash]. */
async function keptBefore() {
  const found = new Map();
  for (const name of await caches.keys()) {
    if (!name.startsWith(PREFIX) || name === CACHE) continue;
    const cache = await caches.open(name);
    const list = await cache.match(LIST_KEY);
    if (!list) continue; /* a set that was never finished */
    (await list.json()).forEach(([path, hash]) => found.set(path + " " + hash, cache));
  }
  return found;
}

/* A file as the list has it, from the network; anything else is an error with words for the reader. */
async function fetched(path, signal) {
  let response;
  try {
    const integrity = "sha256-" + known.get(path);
    response = await fetch(address(path), { signal, integrity, cache: "no-cache", credentials: "same-origin" });
  } catch {
    throw new Error("the file " + path + " did not come whole from the network");
  }
  const { ok, status } = response;
  if (!ok) throw new Error("the file " + path + " could not be fetched (the server said " + status + ")");
  return response;
}

async function fits(response, path) {
  try {
    const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", await response.arrayBuffer()));
    return btoa(String.fromCharCode(...digest)) === known.get(path);
  } catch {
    return false; /* the browser itself could not read it */
  }
}

async function store(cache, kept, [path, hash], signal) {
  const old = kept.get(path + " " + hash);
  let response = old && (await old.match(address(path)));
  if (response && !(await fits(response.clone(), path))) response = null;
  await cache.put(address(path), response || (await fetched(path, signal)));
}

function inWords(error) {
  if (error && error.name === "QuotaExceededError") {
    return "this device gives the browser no room for it (" + Math.ceil(total / 1e6) + " MB are needed)";
  }
  return String((error && error.message) || error);
}

async function install() {
  await caches.delete(CACHE);
  const cache = await caches.open(CACHE);
  try {
    const kept = await keptBefore();
    const queue = FILES.slice();
    let done = 0;
    let broken = null;
    const all = new AbortController();
    const work = async () => {
      for (let row = queue.shift(); row && !broken; row = queue.shift()) {
        try {
          await store(cache, kept, row, all.signal);
        } catch (error) {
          broken = broken || error;
          all.abort();
        }
        done += row[2];
        if (!broken) tell({ state: "caching", done, total });
      }
    };
    /* All of them come to rest before the failure is told: nothing is written, and no progress told, after it. */
    await Promise.all(Array.from({ length: AT_ONCE }, work));
    if (broken) throw broken;
    /* The list goes in last: a set without it is not whole. */
    await cache.put(LIST_KEY, new Response(JSON.stringify(FILES)));
  } catch (error) {
    await caches.delete(CACHE);
    await tell({ state: "failed", reason: inWords(error) });
    throw error;
  }
}

async function removeCaches(keep) {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(PREFIX) && name !== keep);
  await Promise.all(old.map((name) => caches.delete(name)));
}

async function activate() {
  await removeCaches(CACHE);
  await self.clients.claim();
  await tell({ state: "ready" });
}

async function turnOff() {
  await self.registration.unregister();
  await removeCaches("");
  await tell({ state: "off" });
}

/* The path inside the guide, without query and fragment: they choose a place in a page, never another page. */
function insidePath(url) {
  const scope = new URL(self.registration.scope);
  if (url.origin !== scope.origin || !url.pathname.startsWith(scope.pathname)) return null;
  let path;
  try {
    path = decodeURIComponent(url.pathname.slice(scope.pathname.length));
  } catch {
    return null;
  }
  return path === "" || path.endsWith("/") ? path + "index.html" : path;
}

/* What is kept may be damaged or gone: each file is held against its hash once in the life of this worker. One that
   does not fit is fetched anew, the same version or none: a page of another version is never mixed in. */
const checked = new Map();

async function sound(cache, path) {
  if (!checked.has(path)) {
    const kept = cache.match(address(path));
    checked.set(path, kept.then((response) => Boolean(response) && fits(response, path), () => false));
  }
  const response = (await checked.get(path)) && (await cache.match(address(path)));
  if (response) return response;
  checked.delete(path);
  try {
    const fresh = await fetched(path);
    await cache.put(address(path), fresh.clone()).catch(() => {});
    return fresh;
  } catch {
    return null;
  }
}

function notSound(request, path) {
  tell({ state: "damaged", path });
  if (request.mode !== "navigate") return Response.error();
  const home = address("index.html").replace(/[&<>"]/g, (letter) => "&#" + letter.charCodeAt(0) + ";");
  const body = '<!doctype html><html lang="en"><meta charset="utf-8">'
    + '<meta name="viewport" content="width=device-width"><meta name="color-scheme" content="light dark">'
    + '<title>This page is damaged</title><main role="alert"><h1>This page is damaged</h1>'
    + "<p>The copy of this page that your browser keeps is damaged, and no sound copy came from the network. "
    + "It is not shown, because it could be wrong.</p>"
    + "<p>Nothing you typed is lost. The other pages still open. "
    + "Connect to the network and open this page again: it is then fetched anew. "
    + "If that does not help, close every tab of the guide and open it again.</p>"
    + '<p><a href="' + home + '">To the first page</a></p></main></html>';
  const headers = { "Content-Type": "text/html; charset=utf-8", "Content-Security-Policy": "default-src 'none'" };
  return new Response(body, { status: 503, headers });
}

async function answer(request, path) {
  const cache = await caches.open(CACHE);
  const whole = await cache.match(LIST_KEY);
  if (!whole) {
    await caches.delete(CACHE); /* opening made an empty one: it was turned off or cleared by the browser */
    return fetch(request);
  }
  if (known.has(path)) return (await sound(cache, path)) || notSound(request, path);
  /* A class may lie beside the guide (class-line.js asks); without a network none is known. */
  if (path === "class.json") return fetch(request).catch(() => new Response("null"));
  if (request.mode !== "navigate") return fetch(request);
  const missing = known.has("404.html") && (await sound(cache, "404.html"));
  return missing ? new Response(missing.body, { status: 404, headers: missing.headers }) : fetch(request);
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));
self.addEventListener("message", (event) => {
  const type = event.data && event.data.type;
  if (type === "skipWaiting") event.waitUntil(self.skipWaiting());
  if (type === "off") event.waitUntil(turnOff());
});
self.addEventListener("fetch", (event) => {
  if (event.request.method !== "GET") return;
  const path = insidePath(new URL(event.request.url));
  if (path === null || path === "sw.js") return;
  event.respondWith(answer(event.request, path));
});
