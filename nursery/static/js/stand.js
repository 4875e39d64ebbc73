// The stand in the browser: taps, prices and tax without a request, and each sale into the
// queue (js/stand-queue.js) that sends it at once or when there is signal. Where this cannot
// run, the page's form does the same by asking the server.
(() => {
  const template = document.getElementById("scripted");
  const plainForm = document.getElementById("stand");
  if (!template || plainForm.hasAttribute("data-plain") || !window.indexedDB) return;

  const FIRST_ROWS = 30;
  const PATIENCE = 6000;
  const taps = [];
  const codes = [];
  // The form asks nobody from here on; what is tapped before the plants are here comes after.
  for (const part of [plainForm, ...plainForm.querySelectorAll("[hx-post]")]) part.removeAttribute("hx-post");
  const hold = (event) => {
    event.preventDefault();
    taps.push(event.submitter);
  };
  plainForm.addEventListener("submit", hold);
  const holdCode = (event) => {
    event.preventDefault();
    if (form?.dataset.ready) readLabel(event.detail.code);
    else codes.push(event.detail.code);
  };
  document.addEventListener("label-read", holdCode);

  const giveUp = () => {
    plainForm.removeEventListener("submit", hold);
    document.removeEventListener("label-read", holdCode);
    if (taps.length) plainForm.requestSubmit(taps[0]);
  };

  let data, form, money, rows, sale;
  const part = (selector) => form.querySelector(selector);
  const make = (tag, words, className) => {
    const made = document.createElement(tag);
    made.textContent = words ?? "";
    if (className) made.className = className;
    return made;
  };
  const plants = (number) => `${number} ${number === 1 ? "plant" : "plants"}`;
  const show = (element, words) => {
    element.hidden = !words;
    element.textContent = words || "";
  };

  // A line is of a plant and container, or by its label of one lot of them: "4-7" or "4-7-31".
  const rowOf = (key) => rows.get(key.split("-").slice(0, 2).join("-"));
  const labelOf = (key) => key.split("-")[2] ?? "";

  const emptySale = () => ({ request: standQueue.newId(), lines: new Map(), buyer: "", all: false, find: "" });

  // The basket that an address bears, as links and the page without scripts write it.
  const saleOf = (search) => {
    const asked = new URLSearchParams(search);
    const found = { ...emptySale(), buyer: asked.get("buyer") ?? "", find: asked.get("find") ?? "", all: asked.has("all") };
    for (const [name, value] of asked) {
      const key = name.startsWith("n-") ? name.slice(2) : "";
      if (!rowOf(key)) continue;
      const lot = labelOf(key) || (asked.get(`lot-${key}`) ?? "");
      found.lines.set(key, { key, number: value, price: asked.get(`price-${key}`) ?? "", lot });
    }
    return found;
  };

  const addressOf = (extra = {}) => {
    const query = new URLSearchParams();
    for (const line of sale.lines.values()) {
      query.set(`n-${line.key}`, line.number);
      if (line.price) query.set(`price-${line.key}`, line.price);
      if (line.lot && !labelOf(line.key)) query.set(`lot-${line.key}`, line.lot);
    }
    if (sale.buyer) query.set("buyer", sale.buyer);
    for (const [name, value] of Object.entries(extra)) if (value) query.set(name, value);
    return query;
  };

  const whole = (text) => (/^\d{1,6}$/.test(text.trim()) ? Number(text) : 0);
  const buyerOf = () => data.buyers.find((buyer) => String(buyer.key) === sale.buyer);

  // How many plants count for a price "from so many on".
  const counted = (line) => {
    const row = rowOf(line.key);
    const isAlike = data.counted === "sale" ? (one) => one.size === row.size : (one) => one === row;
    const alike = [...sale.lines.values()].filter((one) => isAlike(rowOf(one.key)));
    return alike.reduce((sum, one) => sum + whole(one.number), 0);
  };

  // The lots a line may take from, oldest first, less what labels took of them.
  const lotsFor = (line) => {
    const { lots } = rowOf(line.key);
    if (labelOf(line.key)) return lots.filter((lot) => String(lot.key) === line.lot);
    const byLabel = (lot) => whole(sale.lines.get(`${line.key}-${lot.key}`)?.number ?? "");
    const rest = lots.map((lot) => ({ ...lot, free: Math.max(0, lot.free - byLabel(lot)) }));
    return line.lot ? rest.filter((lot) => String(lot.key) === line.lot) : rest;
  };

  // A line understood: what each lot gives, at which price and why, and what is wrong.
  const understood = (line) => {
    const row = rowOf(line.key);
    const lots = lotsFor(line);
    const free = lots.reduce((sum, lot) => sum + Math.max(lot.free, 0), 0);
    const number = whole(line.number);
    const asked = standSums.readAmount(line.price, data.digits);
    const list = buyerOf()?.list ?? "stand";
    let wanted = number;
    const pieces = [];
    for (const lot of lots) {
      const quantity = Math.min(wanted, Math.max(lot.free, 0));
      if (quantity) pieces.push({ lot, quantity });
      wanted -= quantity;
    }
    const quotes = pieces.map(({ lot }) => standSums.quote(row.prices, lot.grade, counted(line), list));
    const listed = [...new Set(quotes.map((quote) => quote?.amount ?? null))];
    const listPrice = listed.length === 1 ? listed[0] : null;
    const overruled = asked !== null && !Number.isNaN(asked) && asked !== listPrice;
    pieces.forEach((piece, place) => {
      piece.price = overruled ? asked : (quotes[place]?.amount ?? 0);
      piece.reason = overruled ? "asked at the sale" : (quotes[place]?.reason ?? "");
    });
    let wrong = "";
    if (!number) wrong = `“${line.number}” is not a number of plants. Write a whole number.`;
    else if (wanted) wrong = `${free} ${free === 1 ? "is" : "are"} free; ${number} cannot be sold. Sell fewer, or count the lots first.`;
    else if (Number.isNaN(asked)) wrong = `“${line.price}” is not an amount. Write it like 12.50.`;
    else if (!overruled && quotes.includes(null)) wrong = "No price yet. Enter one here, or in the price list.";
    const net = pieces.reduce((sum, one) => sum + one.quantity * one.price, 0);
    const cost = pieces.reduce((sum, one) => sum + one.quantity * one.lot.cost, 0);
    const below = pieces.some((one) => one.reason && one.price < one.lot.cost);
    return { line, row, number, pieces, listPrice, overruled, wrong, net, below, each: number ? cost / number : 0 };
  };

  const sums = () => {
    const lines = [...sale.lines.values()].map(understood);
    const exempt = buyerOf()?.exempt;
    const pieces = lines.flatMap(({ row, pieces }) =>
      pieces.map((piece) => ({ ...piece, ...data.taxes[exempt ? row.exempt : row.tax] })),
    );
    const taxes = standSums.taxesOn(pieces, data.basis, data.included);
    const total = taxes.reduce((sum, tax) => sum + tax.base + tax.amount, 0);
    return {
      lines,
      taxes,
      total,
      plants: lines.reduce((sum, line) => sum + line.number, 0),
      net: lines.reduce((sum, line) => sum + line.net, 0),
      cash: standSums.inCash(total, data.cash_step),
    };
  };

  // ---- what the page shows

  const wordsOfTax = ({ category, percent }) =>
    data.taxes.find((tax) => tax.category === category && tax.percent === percent).words;

  const plain = (text) =>
    text.normalize("NFD").replace(/\p{M}|['"‘’“”]/gu, "").toLowerCase().replace(/×/g, "x").replace(/\s+/g, " ").trim();

  const drawPicks = () => {
    const list = part(".picks");
    const asked = plain(sale.find);
    const fit = [...rows.values()].filter(
      (row) => !asked || plain(row.find).includes(asked) || row.size.toLowerCase() === asked,
    );
    const shown = asked || sale.all ? fit : fit.slice(0, FIRST_ROWS);
    list.replaceChildren(...shown.map((row) => row.element));
    if (!shown.length && asked) {
      const none = `No plant free to sell matches “${sale.find}”. Try part of its name, or a container such as #1.`;
      list.append(make("li", none, "none"));
    } else if (!shown.length) {
      list.append(form.nothingYet);
    }
    const more = part(".more");
    more.hidden = shown.length === fit.length;
    more.querySelector("button").textContent = `Show ${fit.length - shown.length} more`;
  };

  const drawPick = (row) => {
    const number = whole(sale.lines.get(row.key)?.number ?? "");
    const { element } = row;
    element.classList.toggle("chosen", number > 0);
    element.querySelector(":scope > .number").hidden = !number;
    element.querySelector(":scope > .number").lastChild.textContent = number;
    element.querySelector(":scope > .step").hidden = !number;
    const free = row.lots.reduce((sum, lot) => sum + Math.max(lot.free, 0), 0);
    element.querySelector(".free").textContent = `${free} free`;
    const quote = standSums.quote(row.prices, row.lots[0]?.grade ?? "", 1, buyerOf()?.list ?? "stand");
    element.querySelector(".price").textContent = quote ? money(quote.amount) : "no price";
  };

  const newPick = (blank, row) => {
    const element = blank.cloneNode(true);
    element.id = `plant-${row.key}`;
    element.querySelectorAll("button").forEach((button) => (button.value = row.key));
    element.querySelector(".likeness").outerHTML = row.likeness;
    // A picture that does not come leaves the drawing beneath it.
    element.querySelector(".likeness img")?.addEventListener("error", ({ target }) => target.remove());
    element.querySelector(".what").innerHTML = row.name;
    element.querySelector(".size").textContent = row.size;
    element.querySelector(".step .unseen").textContent = `One fewer ${row.words} ${row.size}`;
    return element;
  };

  const newLine = (blank, line) => {
    const row = rowOf(line.key);
    const element = blank.cloneNode(true);
    const label = row.lots.find((lot) => String(lot.key) === labelOf(line.key));
    element.querySelector(".plant").outerHTML = row.name;
    element.querySelector(".size").textContent = row.size;
    element.querySelectorAll("button").forEach((button) => (button.value = line.key));
    const [number, price] = element.querySelectorAll("input:not([type=hidden])");
    element.querySelector("[type=hidden]").remove();
    number.name = number.id = `n-${line.key}`;
    number.previousElementSibling.textContent = `Number of ${row.words} ${row.size}`;
    price.name = price.id = `price-${line.key}`;
    price.setAttribute("aria-label", `Price each before tax, ${row.words} ${row.size}`);
    if (label) element.append(make("p", `By its label, from lot ${label.code}.`, "small"));
    if (row.lots.length > 1 && !label) {
      const from = make("label", "", "from");
      const select = make("select");
      select.name = `lot-${line.key}`;
      select.append(new Option("the oldest lot first", ""));
      for (const lot of row.lots) {
        const where = lot.place ? `, ${lot.place}` : "";
        const size = lot.tall ? `, ${lot.tall}` : "";
        select.append(new Option(`${lot.code}${size}, ${lot.free} free${where}`, lot.key, false, String(lot.key) === line.lot));
      }
      from.append(make("span", "From", "small"), select);
      element.append(from);
    }
    for (const name of ["why small soft", "below small loss-text", "wrong-words loss-text"]) element.append(make("p", "", name));
    element.querySelector(".wrong-words").setAttribute("role", "alert");
    return element;
  };

  const drawLine = ({ line, pieces, listPrice, overruled, wrong, net, below, each }) => {
    const element = line.element;
    const [number, price] = element.querySelectorAll("input");
    if (document.activeElement !== number || whole(number.value)) number.value = line.number;
    price.value = line.price || (listPrice === null ? "" : standSums.typed(listPrice, data.digits));
    line.shownPrice = price.value;
    element.querySelector(".net").textContent = money(net);
    const why = [...new Set(pieces.map((one) => one.reason).filter(Boolean))].join("; ");
    const ofDay = listPrice === null ? "" : `Price of the day; the list says ${money(listPrice)}.`;
    show(element.querySelector(".why"), overruled ? ofDay : why);
    show(element.querySelector(".below"), below && `Below cost: one has cost ${money(Math.round(each))} so far.`);
    show(element.querySelector(".wrong-words"), wrong);
    element.classList.toggle("wrong", Boolean(wrong));
  };

  const drawMoney = ({ taxes, total, plants: number, net, cash, lines }) => {
    const pairs = [[`Plants, ${number}`, net], ...taxes.map((tax) => [wordsOfTax(tax), tax.amount])];
    part(".sums").replaceChildren(
      ...pairs.map(([words, amount]) => {
        const pair = make("div");
        pair.append(make("dt", words), make("dd", money(amount)));
        return pair;
      }),
    );
    show(part(".taxed"), taxes.some((tax) => tax.amount) ? buyerOf()?.trouble : "");
    const under = lines.filter((line) => line.below).length;
    show(part(".under"), under && `${under} line${under > 1 ? "s" : ""} below what the plants cost.`);
    show(part(".rounded"), cash !== total && `In cash ${money(cash)}: the total is rounded to what cash can pay, the tax is not.`);
    const given = standSums.readAmount(part("[name=given]").value, data.digits);
    const words = given === null ? "" : given >= cash ? `Give back ${money(given - cash)}` : `${money(cash - given)} is missing.`;
    show(part(".back"), Number.isNaN(given) ? "Write the amount like 20." : words);
    const over = standSums.roundAmountsOver(cash, data.digits);
    part(".handed").replaceChildren(
      ...over.map((amount) => {
        const one = make("li");
        one.append(make("b", money(amount - cash)), make("span", `from ${money(amount)}`));
        return one;
      }),
    );
    part(".handed").hidden = part(".handed").previousElementSibling.hidden = !over.length;
    part(".pay .total a").textContent = plants(number);
    part(".pay .total span").textContent = money(total);
    part("[value=cash]").textContent = cash === total ? "Cash" : `Cash ${money(cash)}`;
  };

  const draw = () => {
    const begun = sale.lines.size > 0;
    form.classList.toggle("begun", begun);
    part(".pay").hidden = part(".begun-sale").hidden = !begun;
    part(".hint").hidden = begun;
    rows.forEach(drawPick);
    const blank = form.blankLine;
    const list = part(".lines");
    for (const line of sale.lines.values()) {
      line.element ??= newLine(blank, line);
      if (!line.element.isConnected) list.append(line.element);
    }
    [...list.children].forEach((one) => [...sale.lines.values()].some((line) => line.element === one) || one.remove());
    if (!begun) return;
    const found = sums();
    found.lines.forEach(drawLine);
    drawMoney(found);
    part("a[href*='/holds/']").search = addressOf();
    part("a[data-plain]").search = addressOf({ plain: "yes" });
  };

  const refuse = (wrongs) => {
    part(".refusal")?.remove();
    if (!wrongs.length) return false;
    const notice = make("div", "", "notice refusal");
    notice.setAttribute("role", "alert");
    notice.tabIndex = -1;
    const list = make("ul");
    list.append(...wrongs.map((words) => make("li", words)));
    notice.append(make("h2", "Nothing was saved yet"), list);
    part(".plants").before(notice);
    notice.focus();
    return true;
  };

  // ---- what a person does

  const change = (key, by) => {
    const line = sale.lines.get(key) ?? { key, number: "0", price: "", lot: labelOf(key) };
    const number = Math.max(0, whole(line.number) + by);
    line.number = String(number);
    if (number) sale.lines.set(key, line);
    else sale.lines.delete(key);
    draw();
  };

  // A label that was scanned adds one plant of its lot.
  const readLabel = (text) => {
    const spelled = (code) => plain(code).replace(/[\s./-]/g, "");
    const code = decodeURIComponent(text.trim().replace(/\/+$/, "").split("/").pop());
    for (const row of rows.values()) {
      const lot = row.lots.find((one) => spelled(one.code) === spelled(code));
      if (!lot) continue;
      refuse([]);
      return change(`${row.key}-${lot.key}`, 1);
    }
    return refuse([`No lot with plants free to sell has the code “${code}”.`]);
  };

  const wrongWith = (found, paidBy, note) => {
    const wrongs = found.lines
      .filter((line) => line.wrong)
      .map(({ row, wrong }) => `${row.words} ${row.size}: ${wrong}`);
    if (paidBy === "later" && !sale.buyer) wrongs.push("Choose who pays later: an open invoice needs a name.");
    const gift = found.lines.find((line) => line.pieces.some((piece) => piece.price === 0));
    if (!wrongs.length && gift && !note)
      wrongs.push(`${gift.row.words} in ${gift.row.size} goes for nothing. Write in the note why, as “for the school's fair”, or enter a price.`);
    return wrongs;
  };

  const recorded = (found, paidBy, note) => ({
    request: sale.request,
    at: new Date().toISOString(),
    seller: data.seller,
    buyer: sale.buyer ? Number(sale.buyer) : null,
    buyer_name: buyerOf()?.name ?? "",
    stand: Number(part("[name=stand]")?.value ?? data.stand) || null,
    paid_by: paidBy === "later" ? "" : paidBy,
    note,
    plants: found.plants,
    total: standSums.typed(found.total, data.digits),
    shown: money(paidBy === "cash" ? found.cash : found.total),
    items: found.lines.flatMap(({ line, row, pieces }) => {
      const [plant, container] = row.key.split("-").map(Number);
      return pieces.map(({ lot, quantity, price, reason }) => ({
        plant,
        container,
        quantity,
        lot: line.lot ? Number(line.lot) : null,
        grade: lot.grade,
        price: standSums.typed(price, data.digits),
        reason,
      }));
    }),
  });

  // What a kept sale takes is no longer free on this phone.
  const takeOff = ({ items }, times = 1) => {
    for (const { plant, container, quantity, lot: chosen } of items) {
      let left = quantity * times;
      const lots = rows.get(`${plant}-${container}`)?.lots ?? [];
      for (const lot of lots.filter((one) => !chosen || one.key === chosen)) {
        const number = times > 0 ? Math.min(left, Math.max(lot.free, 0)) : left;
        lot.free -= number;
        left -= number;
      }
    }
  };

  const sayKept = (kept, change) => {
    const notice = make("div", "", "notice");
    const paid = kept.paid_by ? `paid by ${kept.paid_by}` : "to be paid later";
    const back = change > 0 ? ` Give back ${money(change)}.` : "";
    notice.append(make("p", `Kept on this phone: ${plants(kept.plants)}, ${kept.shown}, ${paid}.${back} It is sent when there is signal.`));
    const undo = make("button", "Undo", "quiet");
    undo.type = "button";
    undo.addEventListener("click", async () => {
      const done = await standQueue.takeBack(kept.request);
      if (done) takeOff(kept, -1);
      notice.replaceChildren(make("p", done ? "Taken back: nothing was sold." : "It may be booked already. Undo it on its receipt once there is signal."));
      draw();
    });
    notice.append(undo);
    document.querySelector(".said").replaceChildren(notice);
    scrollTo(0, 0);
  };

  const clear = () => {
    sale = emptySale();
    for (const name of ["buyer", "given", "note"]) part(`[name=${name}]`).value = "";
    form.querySelectorAll("details[open]").forEach((one) => (one.open = false));
    history.replaceState(null, "", location.pathname);
    draw();
    drawPicks();
  };

  let paying = false;
  const pay = async (paidBy, button) => {
    if (paying) return;
    const found = sums();
    const note = part("[name=note]").value.trim();
    if (!sale.lines.size || refuse(wrongWith(found, paidBy, note))) return;
    paying = true;
    button.setAttribute("aria-busy", "true");
    const given = standSums.readAmount(part("[name=given]").value, data.digits);
    const kept = recorded(found, paidBy, note);
    try {
      await standQueue.keep(kept);
      takeOff(kept);
      const { results } = navigator.onLine ? await standQueue.send(PATIENCE) : { results: new Map() };
      const url = results.get(kept.request)?.url;
      clear();
      if (url) {
        const after = new URLSearchParams({ sold: "now" });
        if (paidBy === "cash" && given) after.set("given", standSums.typed(given, data.digits));
        location.assign(`${url}?${after}`);
      } else {
        sayKept(kept, given && paidBy === "cash" ? given - found.cash : 0);
      }
    } finally {
      paying = false;
      button.removeAttribute("aria-busy");
    }
  };

  const press = (button) => {
    const value = button?.value;
    if (button?.name === "more") change(value, 1);
    else if (button?.name === "fewer") change(value, -1);
    else if (button?.name === "all") (sale.all = true), drawPicks();
    else if (button?.name === "paid_by") pay(value, button);
    else typed(), drawPicks();
  };

  // What stands in the fields is the sale's.
  const typed = () => {
    for (const line of [...sale.lines.values()]) {
      const field = (kind) => part(`[name="${kind}-${line.key}"]`);
      line.number = field("n").value.trim();
      const understoodNow = understood({ ...line, price: "" });
      const price = field("price").value.trim();
      const listed = understoodNow.listPrice === null ? "" : standSums.typed(understoodNow.listPrice, data.digits);
      if (price !== line.shownPrice) line.price = price === listed ? "" : price;
      line.lot = field("lot")?.value ?? line.lot;
      if (line.number === "" || line.number === "0") sale.lines.delete(line.key);
    }
    sale.buyer = part("[name=buyer]").value;
    sale.find = part("[name=find]").value.trim();
    const on = part("[name=on]").value;
    if (on !== data.on) location.assign(`${location.pathname}?${addressOf({ plain: "yes", on })}`);
    draw();
  };

  const prepare = () => {
    form = template.content.querySelector("form").cloneNode(true);
    const pick = part(".picks > li");
    form.nothingYet = part(".picks > .none");
    form.blankLine = part(".lines > li");
    form.blankLine.remove();
    for (const row of rows.values()) row.element = newPick(pick, row);
    const section = part("#sale");
    const begun = make("div", "", "begun-sale");
    begun.append(...section.childNodes);
    section.append(make("p", "Tap a plant to add one. The total with tax and the ways to pay appear here.", "soft hint"), begun);
    const besides = [make("p", "", "taxed small loss-text"), make("p", "", "under small loss-text")];
    part(".sums").after(...besides);
    part(".for").after(make("p", "", "rounded small"));
    part(".for button").remove();
    const change = part("details.change");
    change.querySelector("button").remove();
    change.append(make("p", "", "back"));
    part("[name=on]").value = data.on;
    const buyers = data.buyers.map((buyer) => new Option(buyer.name, buyer.key));
    part("[name=buyer]").append(new Option("Walk-in, no name needed", ""), ...buyers);
  };

  const begin = async () => {
    try {
      await standQueue.opened;
      const answer = await fetch(template.dataset.from, { credentials: "same-origin" });
      if (!answer.ok || answer.redirected) throw new Error("no plants");
      data = await answer.json();
    } catch {
      return giveUp();
    }
    const written = new Intl.NumberFormat(data.locale, {
      style: "currency",
      currency: data.currency,
      minimumFractionDigits: data.digits,
      maximumFractionDigits: data.digits,
    });
    money = (minor) => written.format(minor / 10 ** data.digits);
    rows = new Map(data.plants.map((row) => [row.key, row]));
    (await standQueue.waiting()).forEach((kept) => takeOff(kept));
    prepare();
    sale = saleOf(location.search);
    part("[name=find]").value = sale.find;
    part("[name=buyer]").value = sale.buyer;
    const asked = new URLSearchParams(location.search);
    for (const name of ["given", "note"]) part(`[name=${name}]`).value = asked.get(name) ?? "";
    if (asked.has("stand") && part("select[name=stand]")) part("select[name=stand]").value = asked.get("stand");
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      press(event.submitter);
    });
    form.addEventListener("change", () => typed());
    part("[name=find]").addEventListener("input", (event) => {
      sale.find = event.target.value.trim();
      drawPicks();
    });
    const writing = ["find", "lot_code"].filter((name) => plainForm.elements[name]?.value);
    for (const name of writing) part(`[name=${name}]`).value = plainForm.elements[name].value;
    sale.find = part("[name=find]").value.trim();
    const focused = plainForm.contains(document.activeElement) && document.activeElement.name;
    drawPicks();
    draw();
    plainForm.replaceWith(form);
    // Who was writing while the plants came writes on where they were.
    if (writing.includes(focused)) part(`[name=${focused}]`).focus();
    form.querySelectorAll("[data-scan]").forEach((button) => (button.hidden = false));
    taps.forEach(press);
    codes.forEach(readLabel);
    form.dataset.ready = "yes";
    standQueue.send();
  };

  const count = async () => {
    const link = document.querySelector("[data-waiting]");
    const number = (await standQueue.waiting()).length;
    link.textContent = number ? `${number} to be sent` : "On this phone";
    link.classList.toggle("due", number > 0);
  };
  addEventListener("stand-queue", count);

  begin().then(count);
  navigator.serviceWorker?.register(template.dataset.worker, { scope: "/" });
})();
