// Pages that were opened stay readable when they are loaded again without a network. A browser runs this over https
// (and on this computer itself) only. What a page shows belongs to whoever is signed in: it is forgotten with the
// sign-in, and the pages of the shop and of accounts are never stored.
"use strict";
const PAGES = "pages-1",
  FILES = "files-1",
  MOST_PAGES = 40,
  ENDS = ["/shop/sign-in", "/shop/sign-out", "/shop/who", "/shop/hand-over", "/shop/code"];

self.addEventListener("install", () => self.skipWaiting());

self.addEventListener("activate", (event) => event.waitUntil((async () => {
  for (const name of await caches.keys())
    if (![PAGES, FILES].includes(name)) await caches.delete(name);
  await self.clients.claim();
})()));

self.addEventListener("fetch", (event) => {
  const {
    request
  } = event, address = new URL(request.url);
  if (address.origin !== location.origin) return;
  if (ENDS.some((path) => address.pathname.startsWith(path))) event.waitUntil(caches.delete(PAGES));
  else if (request.method === "GET" && address.pathname.startsWith("/static/")) event.respondWith(file(request));
  else if (request.method === "GET" && request.mode === "navigate") event.respondWith(page(request, address));
});

// The network first, since a stored page is as old as it is.
async function page(request, address) {
  let answer;
  try {
    answer = await fetch(request);
  } catch {
    return (await stored(request)) || none();
  }
  const isPage = (answer.headers.get("Content-Type") || "").startsWith("text/html");
  if (answer.ok && answer.type === "basic" && isPage && !address.pathname.startsWith("/shop/")) {
    const copy = answer.clone();
    await keep(request, copy);
  }
  return answer;
}

async function keep(request, answer) {
  try {
    const pages = await caches.open(PAGES);
    await pages.delete(request);
    await pages.put(request, answer);
    const all = await pages.keys();
    for (const old of all.slice(0, Math.max(0, all.length - MOST_PAGES))) await pages.delete(old);
  } catch {
    /* storage is full: the page works all the same */
  }
}

async function stored(request) {
  return (await caches.open(PAGES)).match(request);
}

const none = () => new Response(
  "There is no network, and this page was not opened before. Go back, or try again later.", {
    status: 503,
    headers: {
      "Content-Type": "text/plain; charset=utf-8"
    }
  });

// Files with a hash in their names never change; others are asked for, and stored for want of a network.
async function file(request) {
  const files = await caches.open(FILES);
  const before = await files.match(request);
  if (before && /\.[0-9a-f]{12}\./.test(request.url)) return before;
  try {
    const answer = await fetch(request);
    if (answer.ok) await files.put(request, answer.clone());
    return answer;
  } catch (failure) {
    if (before) return before;
    throw failure;
  }
}
