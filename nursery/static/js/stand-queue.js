// Sales kept on this phone until the ledger has booked them. Every sale goes through here,
// with signal or without: first it is kept, then it is sent, in order, each once by its
// request id; what was sent stands in a list of its own.
const standQueue = (() => {
  const AT_ONCE = 20;
  const PATIENCE = 20_000;
  const SENT_KEPT = 200;
  const address = "/sell/send/";
  let sending = null;

  const opened = idb.openDB("stand", 1, {
    upgrade: (db) => {
      db.createObjectStore("waiting", { keyPath: "turn", autoIncrement: true });
      db.createObjectStore("sent", { keyPath: "turn", autoIncrement: true });
    },
  });

  const newId = () => {
    if (crypto.randomUUID) return crypto.randomUUID();
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 15) | 64;
    bytes[8] = (bytes[8] & 63) | 128;
    const hex = [...bytes].map((one) => one.toString(16).padStart(2, "0")).join("");
    return hex.replace(/(.{8})(.{4})(.{4})(.{4})(.{12})/, "$1-$2-$3-$4-$5");
  };

  const told = () => dispatchEvent(new CustomEvent("stand-queue"));

  // The sale is safe when this returns: written through to the disk.
  const keep = async (sale) => {
    const db = await opened;
    const writing = db.transaction("waiting", "readwrite", { durability: "strict" });
    writing.store.add(sale);
    await writing.done;
    navigator.storage?.persist?.();
    told();
  };

  const waiting = async () => (await opened).getAll("waiting");
  const sent = async () => (await (await opened).getAll("sent")).reverse();

  // Take back a sale that was never on its way; false where it may have been booked.
  const takeBack = async (request) => {
    const writing = (await opened).transaction("waiting", "readwrite");
    const found = (await writing.store.getAll()).find((sale) => sale.request === request);
    const may = found && !found.tried;
    if (may) writing.store.delete(found.turn);
    await writing.done;
    told();
    return Boolean(may);
  };

  // Send a sale of another person under the name of whoever is logged in.
  const takeOver = async (request, seller) => {
    await sending;
    const writing = (await opened).transaction("waiting", "readwrite");
    const found = (await writing.store.getAll()).find((sale) => sale.request === request);
    if (found) {
      const by = `Sold by ${found.seller.name}.`;
      writing.store.put({ ...found, seller, whose: null, note: [found.note, by].filter(Boolean).join(" ") });
    }
    await writing.done;
    return send();
  };

  // Behind https its name begins with "__Host-".
  const csrf = () => /(?:^|; )(?:__Host-)?csrftoken=([^;]*)/.exec(document.cookie)?.[1] ?? "";

  const markTried = async (sales) => {
    const writing = (await opened).transaction("waiting", "readwrite", { durability: "strict" });
    for (const sale of sales) {
      // What was taken back since it was read is not sent.
      if (await writing.store.get(sale.turn)) writing.store.put({ ...sale, tried: true });
    }
    const still = await writing.store.getAllKeys();
    await writing.done;
    return sales.filter((sale) => still.includes(sale.turn));
  };

  const post = async (sales, patience) => {
    const given = new AbortController();
    const timer = setTimeout(() => given.abort(), patience);
    try {
      return await fetch(address, {
        method: "POST",
        credentials: "same-origin",
        signal: given.signal,
        headers: { "Content-Type": "application/json", "X-CSRFToken": csrf() },
        body: JSON.stringify({ clock: new Date().toISOString(), now: sales.length === 1, sales }),
      });
    } finally {
      clearTimeout(timer);
    }
  };

  // Note what became of each sale: booked ones leave the queue in the same transaction.
  const settle = async (sales, results) => {
    const writing = (await opened).transaction(["waiting", "sent"], "readwrite", { durability: "strict" });
    const [queue, done] = [writing.objectStore("waiting"), writing.objectStore("sent")];
    for (const [place, sale] of sales.entries()) {
      const { whose = null, refused = null, ...booked } = results[place];
      if (booked.url) {
        queue.delete(sale.turn);
        const { turn, ...kept } = sale;
        done.add({ ...kept, ...booked, sent: new Date().toISOString() });
      } else {
        queue.put({ ...(await queue.get(sale.turn)), whose, refused });
      }
    }
    const old = (await done.getAllKeys()).slice(0, -SENT_KEPT);
    old.forEach((turn) => done.delete(turn));
    await writing.done;
  };

  // Returns {state, results}: "sent", "no signal", "log in" or "trouble".
  const sendAll = async (patience) => {
    const results = new Map();
    const held = new Set();
    for (;;) {
      const next = (await waiting()).filter((sale) => !held.has(sale.turn)).slice(0, AT_ONCE);
      if (!next.length) return { state: "sent", results };
      let answer;
      const sales = await markTried(next);
      if (!sales.length) continue;
      try {
        answer = await post(sales, patience);
        if (answer.redirected || answer.status === 401) return { state: "log in", results };
        // After a new login the cookie changes; the next try bears the new one.
        if (answer.status === 403) return { state: "log in", results };
        if (!answer.ok) return { state: "trouble", results };
        const { results: became } = await answer.json();
        await settle(sales, became);
        sales.forEach((sale, place) => {
          results.set(sale.request, became[place]);
          if (!became[place].url) held.add(sale.turn);
        });
      } catch {
        return { state: "no signal", results };
      }
    }
  };

  // One sender at a time, in this window and, where the browser can, in all windows.
  const send = (patience = PATIENCE) => {
    const locked = () =>
      navigator.locks ? navigator.locks.request("stand-queue", () => sendAll(patience)) : sendAll(patience);
    sending ??= locked().finally(() => {
      sending = null;
      told();
    });
    return sending;
  };

  addEventListener("online", () => send());
  setInterval(async () => {
    if (navigator.onLine && (await waiting()).length) send();
  }, 30_000);

  return { opened, newId, keep, waiting, sent, takeBack, takeOver, send };
})();
