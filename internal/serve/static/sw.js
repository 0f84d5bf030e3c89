// Lets the pages that take photos open where the server cannot be reached, so that
// what was taken waits in sight, and the one that trains the eye. It keeps those
// pages, the slices to guess, the style and the scripts.
"use strict";

const shelf = "netagauge-1";
const shoots = ["/tray", "/line"];
const kept = [...shoots, "/eye", "/eye/deck"];

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

async function fresh(request, path) {
  const answer = await fetch(request);
  if (answer.ok && !answer.redirected) { (await caches.open(shelf)).put(path, answer.clone()); }
  return answer;
}

async function page(request, path) {
  try {
    return kept.includes(path) ? await fresh(request, path) : await fetch(request);
  } catch (error) {
    const held = await caches.open(shelf);
    for (const other of [path, ...shoots]) {
      const answer = await held.match(other);
      if (answer) { return answer; }
    }
    throw error;
  }
}

async function asset(request) {
  const held = await caches.open(shelf);
  const there = await held.match(request);
  if (there) { return there; }
  const answer = await fetch(request);
  if (answer.ok) {
    for (const old of await held.keys()) { // of another version
      if (new URL(old.url).pathname === new URL(request.url).pathname) { held.delete(old); }
    }
    held.put(request, answer.clone());
  }
  return answer;
}

// What a page will want later is fetched while there is Wi-Fi.
self.addEventListener("message", (event) => event.waitUntil(Promise.all(event.data.map((address) => asset(new Request(address))))));

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== self.location.origin) { return; }
  if (url.pathname === "/signout") { event.waitUntil(caches.delete(shelf)); return; }
  if (event.request.method !== "GET") { return; }
  if (url.pathname.startsWith("/static/")) { event.respondWith(asset(event.request)); return; }
  if (event.request.mode === "navigate" || kept.includes(url.pathname)) { event.respondWith(page(event.request, url.pathname)); }
});
