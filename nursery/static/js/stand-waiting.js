// The page that shows what this phone keeps: sales still to be sent, and those that were.
(() => {
  const page = document.getElementById("kept");
  const words = document.getElementById("kept-words");
  const sendNow = document.getElementById("send-now");
  const seller = { key: Number(page.dataset.seller), name: page.dataset.name };
  let last = null;

  const make = (tag, text, className) => {
    const made = document.createElement(tag);
    made.textContent = text ?? "";
    if (className) made.className = className;
    return made;
  };
  const plants = (number) => `${number} ${number === 1 ? "plant" : "plants"}`;
  const sales = (number) => `${number} ${number === 1 ? "sale" : "sales"}`;
  const moment = (text) =>
    new Date(text).toLocaleString(document.documentElement.lang, { dateStyle: "medium", timeStyle: "short" });

  const described = (sale) => {
    const item = make("li");
    const paid = sale.paid_by ? `paid by ${sale.paid_by}` : "to be paid later";
    const who = sale.buyer_name ? `, ${sale.buyer_name}` : "";
    item.append(make("b", `${plants(sale.plants)}, ${sale.shown}`), make("span", `${moment(sale.at)}, ${paid}${who}`, "small"));
    return item;
  };

  const button = (text, act) => {
    const made = make("button", text, "quiet");
    made.type = "button";
    made.addEventListener("click", act);
    return made;
  };

  const toSend = (sale) => {
    const item = described(sale);
    if (sale.refused) item.append(make("span", `Not booked: ${sale.refused}`, "loss-text"));
    if (sale.seller.key !== seller.key || sale.whose) {
      item.append(make("span", `Sold by ${sale.seller.name}, who can log in here to send it.`, "small"));
      item.append(button(`Send it as ${seller.name}`, () => standQueue.takeOver(sale.request, seller)));
    }
    if (!sale.tried) item.append(button("Take back", () => standQueue.takeBack(sale.request)));
    return item;
  };

  const wasSent = (sale) => {
    const item = described(sale);
    const link = make("a", sale.number);
    link.href = sale.url;
    item.append(link);
    if (sale.careful) item.append(make("span", sale.careful, "loss-text"));
    return item;
  };

  const why = () => {
    if (!navigator.onLine || last === "no signal") return "There is no signal.";
    if (last === "log in") return "Log in to send.";
    return last === "trouble" ? "The ledger did not answer as it should. Nothing is lost." : "";
  };

  const draw = async () => {
    const [kept, sent] = [await standQueue.waiting(), await standQueue.sent()];
    document.getElementById("to-send").replaceChildren(...kept.map(toSend));
    document.getElementById("sent").replaceChildren(...sent.map(wasSent));
    if (!sent.length) document.getElementById("sent").append(make("li", "Nothing yet.", "none"));
    const number = kept.reduce((sum, sale) => sum + sale.plants, 0);
    words.textContent = kept.length
      ? `${sales(kept.length)}, ${plants(number)}, since ${moment(kept[0].at)}. ${why()}`
      : "Everything was sent.";
    if (kept.length && last === "log in") {
      const link = make("a", "Log in", "button");
      link.href = page.dataset.login;
      words.append(" ", link);
    }
    sendNow.hidden = !kept.length;
  };

  const send = async () => {
    if (navigator.onLine) ({ state: last } = await standQueue.send());
    await draw();
  };

  sendNow.addEventListener("click", send);
  addEventListener("stand-queue", draw);
  draw().then(send);
})();
