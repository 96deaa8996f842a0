/**
 * Keeps everything that the tablet's page needs, so that it starts with no network. The server puts
 * SHELL = {version, files} in front of this file: a changed file makes a new version.
 *
 * It never takes over by itself, and it never touches the database: a page with open work stays on the
 * files with which that work was begun.
 */

/* global SHELL */

const CACHE = `opsrisk-${SHELL.version}`;
const PAGE = "/tablet/";

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(SHELL.files.map((file) => new Request(file, { cache: "reload" })))));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(names.filter((name) => name.startsWith("opsrisk-") && name !== CACHE).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
});

/** @param {Request} request */
async function answer(request) {
  const { pathname } = new URL(request.url);
  const cache = await caches.open(CACHE);
  const found = await cache.match(request.mode === "navigate" && pathname === PAGE ? PAGE : pathname);
  return found ?? fetch(request);
}

self.addEventListener("fetch", (event) => {
  const { origin, pathname } = new URL(event.request.url);
  const ours = origin === self.location.origin && event.request.method === "GET" && SHELL.files.includes(pathname);
  if (ours) event.respondWith(answer(event.request));
});
