// Opens the dockhand's page again without a network. It keeps that page and its style sheet and script, nothing else: what
// the phone knows lies in the page's own storage.

interface WorkerEvent {
  waitUntil(work: Promise<unknown>): void;
}
interface FetchEvent extends WorkerEvent {
  readonly request: Request;
  respondWith(reply: Promise<Response>): void;
}
interface Worker {
  skipWaiting(): Promise<void>;
  readonly clients: { claim(): Promise<void> };
  readonly registration: { readonly scope: string };
  addEventListener(kind: 'install' | 'activate', listen: (event: WorkerEvent) => void): void;
  addEventListener(kind: 'fetch', listen: (event: FetchEvent) => void): void;
}

// The types of a page do not know that this script runs as a worker.
const worker = self as unknown as Worker;
const name = 'quaywatt-check-in';
const page = new URL('check-in', worker.registration.scope).pathname;

worker.addEventListener('install', (event) => {
  event.waitUntil(keepPageAndParts().then(() => worker.skipWaiting()));
});

worker.addEventListener('activate', (event) => {
  event.waitUntil(worker.clients.claim());
});

worker.addEventListener('fetch', (event) => {
  const { request } = event;
  const { pathname, origin } = new URL(request.url);
  if (request.method !== 'GET' || origin !== location.origin) return;
  if (pathname === page) event.respondWith(networkFirst(request));
  else if (pathname.startsWith('/assets/')) event.respondWith(cacheFirst(request));
});

async function keepPageAndParts(): Promise<void> {
  const cache = await caches.open(name);
  const reply = await fetch(page);
  if (!reply.ok || reply.redirected) return;
  const text = await reply.clone().text();
  await cache.put(page, reply);
  const parts = [...text.matchAll(/(?:src|href)="(\/assets\/[^"]+)"/g)].flatMap(([, url]) => url ?? []);
  await cache.addAll(parts);
}

async function networkFirst(request: Request): Promise<Response> {
  const cache = await caches.open(name);
  try {
    const reply = await fetch(request);
    if (reply.ok && !reply.redirected) await cache.put(page, reply.clone());
    return reply;
  } catch (error) {
    const kept = await cache.match(page);
    if (kept === undefined) throw error;
    return kept;
  }
}

/** Their addresses hold a hash of the contents: what is kept is what would be fetched. */
async function cacheFirst(request: Request): Promise<Response> {
  const cache = await caches.open(name);
  const kept = await cache.match(request);
  if (kept !== undefined) return kept;
  const reply = await fetch(request);
  if (reply.ok) await cache.put(request, reply.clone());
  return reply;
}
