// The last answers, kept in this browser so that they can be shown where there is no signal.

const NAME = "drawbar-answers";
const MOST = 60;
const WHEN = "X-Kept";

async function addressOf(path, body) {
  const bytes = new TextEncoder().encode(`${path}\n${body}`);
  const digest = await crypto.subtle.digest("SHA-256", bytes);
  return `kept/${Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, "0")).join("")}`;
}

// Plain HTTP from another machine has no leave to keep anything.
const able = globalThis.isSecureContext && "caches" in globalThis;

export async function keepAnswer(path, body, text) {
  if (!able) return;
  try {
    const cache = await caches.open(NAME);
    const address = await addressOf(path, body);
    await cache.delete(address);
    await cache.put(address, new Response(text, { headers: { "Content-Type": "application/json", [WHEN]: new Date().toISOString() } }));
    const all = await cache.keys();
    await Promise.all(all.slice(0, Math.max(0, all.length - MOST)).map((one) => cache.delete(one)));
  } catch (error) {
    // A full disk keeps nothing; the answer stands on the page all the same.
    if (!(error instanceof DOMException)) throw error;
  }
}

// An answer to exactly this question, and when it was given; null where there is none.
export async function keptAnswer(path, body) {
  if (!able) return null;
  const found = await caches.match(await addressOf(path, body), { cacheName: NAME });
  return found === undefined ? null : { answer: await found.json(), given: new Date(found.headers.get(WHEN)) };
}
