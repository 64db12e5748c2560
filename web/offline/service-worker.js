/*
 * Keeps the pages for when there is no network. What the server says (readings, recordings, settings) is never kept: an old
 * reading must not be taken for a new one. The build fills in the files and a name that changes with them.
 */
const FILES = self.__FILES__;
const CACHE = `fiveunit-pages-${self.__VERSION__}`;
const FOR_PROGRAMS = /^(api|metrics|healthz)(\/|$)/;
const root = new URL('./', self.location.href);

self.addEventListener('install', (event) => {
  event.waitUntil(
    caches
      .open(CACHE)
      // past the browser's own cache, which may hold files of another version
      .then((cache) => cache.addAll(FILES.map((file) => new Request(new URL(file, root), { cache: 'reload' }))))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener('activate', (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => names.filter((name) => name.startsWith('fiveunit-pages-') && name !== CACHE))
      .then((old) => Promise.all(old.map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== 'GET' || !url.href.startsWith(root.href)) return;
  const path = url.pathname.slice(root.pathname.length);
  if (FOR_PROGRAMS.test(path)) return;
  if (request.mode === 'navigate') event.respondWith(page(request));
  // names of these change with what is in them
  else if (path.startsWith('assets/')) event.respondWith(lasting(request));
  else if (FILES.includes(path)) event.respondWith(fresh(request, request));
});

/** The one document of all pages, as new as can be had. */
const page = (request) => fresh(request, new URL('index.html', root));

async function fresh(request, kept) {
  try {
    return await fetch(request);
  } catch (error) {
    const found = await (await caches.open(CACHE)).match(kept);
    if (found) return found;
    throw error;
  }
}

async function lasting(request) {
  const found = await (await caches.open(CACHE)).match(request);
  return found ?? fetch(request);
}
