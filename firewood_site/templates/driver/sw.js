{% load static %}// Keeps the driver's pages and the sheet a morning is logged on for places without signal. Pages: network first. Files: kept first, renewed behind.
"use strict";
const TILES = "tiles-";
const PAGES = "pages-1", FILES = "files-1";
const STATIC = "{% static 'firewood_site/site.css' %}".replace(/firewood_site\/site.*$/, "");
const FIRST = ["{% static 'firewood_site/site.css' %}", "{% static 'firewood_site/site.js' %}", "{% static 'firewood_site/queue.js' %}", "{% static 'firewood_site/late.js' %}", "{% static 'firewood_site/here.js' %}", "{% static 'firewood_site/icon.svg' %}", "/manifest.webmanifest"];
const DOOR = "/driver/", SELLER = "{% url 'today' %}", LOG = "{% url 'log' %}";

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(FILES).then((cache) => cache.addAll(FIRST)).then(() => self.skipWaiting()));
});
self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) if (![PAGES, FILES].includes(name) && !name.startsWith(TILES)) await caches.delete(name);
    await self.clients.claim();
  })());
});

const good = (answer) => answer.ok && !answer.redirected;

// Where the signal goes while an answer comes, its end is missing: only what is here whole is kept or shown.
const whole = async (answer) => {
  if (!good(answer)) return answer;
  const body = await answer.blob();
  if (!body.size) throw new TypeError("The answer broke off.");
  return new Response(body, { status: answer.status, statusText: answer.statusText, headers: answer.headers });
};

const page = async (request, { keeps, instead }) => {
  const cache = await caches.open(PAGES);
  try {
    const answer = await fetch(request), shown = await whole(answer);
    if (keeps && good(answer)) await cache.put(request.url, shown.clone());
    return shown;
  } catch (error) {
    const kept = await cache.match(request.url, { ignoreSearch: instead === LOG }) || await cache.match(instead);
    if (kept) return kept;
    throw error;
  }
};
const file = async (request) => {
  const cache = await caches.open(FILES);
  const kept = await cache.match(request.url);
  const fresh = fetch(request).then(async (answer) => {
    const all = await whole(answer);
    if (good(answer)) await cache.put(request.url, all.clone());
    return all;
  });
  if (!kept) return fresh;
  fresh.catch(() => {});
  return kept;
};

// Where no tile was kept and none can be had, the map stays plain.
const tile = async (request) => {
  const kept = await caches.match(request);
  return kept || fetch(request).catch(() => new Response('<svg xmlns="http://www.w3.org/2000/svg"/>', { headers: { "Content-Type": "image/svg+xml" } }));
};

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  if (url.pathname.startsWith("/roads/tiles/")) event.respondWith(tile(event.request));
  else if (url.pathname.startsWith(STATIC) || url.pathname === "/manifest.webmanifest") event.respondWith(file(event.request));
  else if (url.pathname.startsWith(DOOR) && !url.pathname.endsWith(".gpx")) event.respondWith(page(event.request, { keeps: true, instead: DOOR }));
  else if (event.request.mode === "navigate" && url.pathname.startsWith(SELLER)) event.respondWith(page(event.request, { keeps: url.pathname === LOG && !url.search, instead: LOG }));
});

// The map beside today's way, one tile after the other; yesterday's, and those of another map, go.
const keepTiles = async ({ kept, paths }) => {
  for (const name of await caches.keys()) if (name.startsWith(TILES) && name !== kept) await caches.delete(name);
  const cache = await caches.open(kept), there = new Set((await cache.keys()).map((one) => one.url));
  for (const path of paths.map((one) => new URL(`/roads/tiles/${one}.svg?names=no`, location.origin).href)) {
    if (there.has(path)) continue;
    try {
      const answer = await fetch(path);
      if (answer.ok) await cache.put(path, answer);
    } catch { return; }
  }
};

// The run page names every card of the day, so that all of them are there before the signal goes.
self.addEventListener("message", (event) => {
  if (event.data.tiles) event.waitUntil(keepTiles(event.data.tiles));
  if (!event.data.keep) return;
  event.waitUntil((async () => {
    const cache = await caches.open(PAGES);
    for (const path of event.data.keep || []) {
      try {
        const answer = await fetch(path, { credentials: "same-origin" });
        if (good(answer)) await cache.put(new URL(path, location.origin).href, await whole(answer));
      } catch { return; }
    }
  })());
});
