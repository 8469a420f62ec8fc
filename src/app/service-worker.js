/*
 * Keeps the page's files, so that it opens without a network. The build writes the list of files and its hash in front of this
 * (`vite.config.ts`); a new build is a new list, takes its place when it is whole, and the old one goes.
 */
/* global VERSION, FILES */
const NAME = `mouldwright-${VERSION}`

self.addEventListener('install', (event) => {
  event.waitUntil(caches.open(NAME).then((cache) => cache.addAll(FILES)))
})

self.addEventListener('activate', (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) =>
        Promise.all(
          names.filter((name) => name.startsWith('mouldwright-') && name !== NAME).map((name) => caches.delete(name)),
        ),
      )
      .then(() => self.clients.claim()),
  )
})

// The page itself is asked for while there is a network, so that a new build is seen at once; its parts carry the hash of what is
// in them, so what was kept is right. Nothing outside the page's folder is touched.
self.addEventListener('fetch', (event) => {
  const { request } = event
  if (request.method !== 'GET' || !request.url.startsWith(self.registration.scope)) return
  const kept = () => caches.open(NAME).then((cache) => cache.match(request, { ignoreSearch: true, ignoreVary: true }))
  if (request.mode === 'navigate')
    event.respondWith(fetch(request).catch(async () => (await kept()) ?? (await caches.open(NAME)).match('./')))
  else event.respondWith(kept().then((found) => found ?? fetch(request)))
})
