// Answers for the stand where there is no signal: its page, its plants and prices, its files.
// Nothing else is kept, and logging out forgets all of it. Sales waiting are kept elsewhere.
const FILES = {{ files|safe }};
const PAGES = { "{{ sell }}": "{{ shell }}", "{{ waiting }}": "{{ waiting }}" };
const DATA = "{{ data }}";
const SHELF = `stand ${FILES.join(" ")}`;
const PATIENCE = 3000;

const isOurs = (answer) => answer.ok && !answer.redirected;

const keep = async (address) => {
  const answer = await fetch(address, { credentials: "same-origin" });
  if (isOurs(answer)) await (await caches.open(SHELF)).put(address, answer);
};

const keepPages = () => Promise.allSettled([...new Set(Object.values(PAGES))].map(keep));

self.addEventListener("install", (event) => {
  const files = async () => Promise.all([(await caches.open(SHELF)).addAll(FILES), keep(DATA), keepPages()]);
  event.waitUntil(files().then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const forget = async () => {
    const old = (await caches.keys()).filter((name) => name.startsWith("stand ") && name !== SHELF);
    await Promise.all(old.map((name) => caches.delete(name)));
    await self.clients.claim();
  };
  event.waitUntil(forget());
});

const patiently = (request) =>
  Promise.race([
    fetch(request),
    new Promise((_, refuse) => setTimeout(() => refuse(new Error("no signal")), PATIENCE)),
  ]);

// The network's answer, else what was kept.
const newest = async (event, kept) => {
  const shelf = await caches.open(SHELF);
  try {
    return await patiently(event.request);
  } catch {
    return (await shelf.match(kept, { ignoreVary: true })) ?? fetch(event.request);
  }
};

const data = async (event) => {
  const answer = await newest(event, DATA);
  if (isOurs(answer) && answer.type === "basic") {
    const copy = answer.clone();
    const shelved = async () => (await caches.open(SHELF)).put(DATA, copy);
    event.waitUntil(shelved().then(keepPages).catch(() => {}));
  }
  return answer;
};

const file = async (request) => {
  const shelf = await caches.open(SHELF);
  const kept = await shelf.match(request, { ignoreVary: true });
  if (kept) return kept;
  const answer = await fetch(request);
  if (isOurs(answer)) await shelf.put(request, answer.clone());
  return answer;
};

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname, searchParams } = new URL(request.url);
  if (origin !== location.origin) return;
  if (request.method === "POST" && pathname === "{{ logout }}") event.waitUntil(caches.delete(SHELF));
  if (request.method !== "GET") return;
  if (request.mode === "navigate" && pathname in PAGES && !searchParams.has("plain")) {
    event.respondWith(newest(event, PAGES[pathname]));
  } else if (pathname === DATA) {
    event.respondWith(data(event));
  } else if (FILES.includes(pathname)) {
    event.respondWith(file(request));
  }
});
