// Keeps the page where there is no signal. It is served as sw.js, with the edition of the page it belongs to.
//
// The page is asked for first and taken from what is kept only where nothing answers, so that an old edition is never
// shown while the new one can be had. Its parts have the edition in their address: they cannot be old.

const EDITION = "{{edition}}";
const PARTS = {{parts}};
const KEPT = `drawbar-page-${EDITION}`;
// A stylesheet is asked for with another Accept than it was kept with; it is the same stylesheet.
const FROM_KEPT = { cacheName: KEPT, ignoreVary: true };
const PATIENCE = 8000;

addEventListener("install", (event) => event.waitUntil(keep()));

// All of one edition or nothing: a page that has been renewed meanwhile is left to the worker that comes with it.
async function keep() {
  const page = await fetch("./", { cache: "no-store" });
  const text = await page.clone().text();
  if (!page.ok || !text.includes(`workbench/${EDITION}/`)) throw new Error("the page is of another edition");
  const cache = await caches.open(KEPT);
  await Promise.all([cache.put("./", page), cache.addAll(PARTS)]);
  await skipWaiting();
}

addEventListener("activate", (event) => event.waitUntil(replace()));

async function replace() {
  const others = (await caches.keys()).filter((name) => name.startsWith("drawbar-page-") && name !== KEPT);
  await Promise.all(others.map((name) => caches.delete(name)));
  await clients.claim();
}

addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET") return;
  const home = new URL(registration.scope);
  const { origin, pathname } = new URL(request.url);
  if (origin !== home.origin) return;
  if (pathname === home.pathname) event.respondWith(newest(request));
  else if (pathname.startsWith(`${home.pathname}workbench/${EDITION}/`)) event.respondWith(known(request));
});

async function newest(request) {
  const stop = new AbortController();
  const late = setTimeout(() => stop.abort(), PATIENCE);
  try {
    return await fetch(request.url, { signal: stop.signal, cache: "no-cache" });
  } catch (error) {
    const page = await caches.match("./", FROM_KEPT);
    if (page === undefined) throw error;
    return page;
  } finally {
    clearTimeout(late);
  }
}

async function known(request) {
  return (await caches.match(request, FROM_KEPT)) ?? fetch(request);
}
