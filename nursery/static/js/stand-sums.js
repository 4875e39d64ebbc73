// What a sale comes to, in whole minor units of the currency: the rules of sales/tax.py and
// nursery/cash.py, so that a phone without signal asks for what the ledger will book.
// tests/browser/test_stand_sums.py holds both side by side.
const standSums = (() => {
  const PERCENT_UNIT = 10_000n;

  // Divide whole numbers that are not negative, a half up.
  const halfUp = (number, by) => (2n * number + by) / (2n * by);

  // pieces: [{quantity, price, category, percent}], percent in ten-thousandths.
  // Returns what is taxed alike: [{category, percent, base, amount}].
  const taxesOn = (pieces, basis, included) => {
    const alike = new Map();
    for (const piece of pieces) {
      const key = `${piece.category} ${piece.percent}`;
      alike.set(key, [...(alike.get(key) ?? []), piece]);
    }
    return [...alike.values()].map((those) => {
      const { category, percent } = those[0];
      const hundred = 100n * PERCENT_UNIT;
      const rate = BigInt(percent);
      const by = included ? hundred + rate : hundred;
      const asked = those.reduce((sum, one) => sum + BigInt(one.quantity) * BigInt(one.price), 0n);
      const amount =
        basis === "invoice"
          ? halfUp(asked * rate, by)
          : those.reduce(
              (sum, one) => sum + BigInt(one.quantity) * halfUp(BigInt(one.price) * rate, by),
              0n,
            );
      const base = included ? asked - amount : asked;
      return { category, percent, base: Number(base), amount: Number(amount) };
    });
  };

  const inCash = (total, step) =>
    step ? Number(halfUp(BigInt(total), BigInt(step)) * BigInt(step)) : total;

  // The price of one of `number` plants, and why: as PriceBook.quote answers it.
  const quote = (prices, grade, number, list) => {
    for (const name of new Set([list, "stand"])) {
      for (const ofGrade of new Set([grade, ""])) {
        const reached = (prices[name]?.[ofGrade] ?? []).filter(([least]) => least <= number);
        if (!reached.length) continue;
        const [least, amount] = reached.at(-1);
        const words = [name === list ? `${name} list` : `${name} list (not on the ${list} list)`];
        if (least > 1) words.push(`from ${least}`);
        if (ofGrade) words.push(`grade ${ofGrade}`);
        return { amount, reason: words.join(", ").slice(0, 80) };
      }
    }
    return null;
  };

  // The round amounts a buyer may hand over, least first: as round_amounts_over answers it.
  const roundAmountsOver = (total, digits) => {
    if (total <= 0) return [];
    const unit = digits ? 10 ** digits : 100;
    const over = [1, 5, 10, 20, 50, 100].map((size) => Math.ceil(total / (unit * size)) * unit * size);
    return [...new Set(over)].filter((amount) => amount > total).sort((a, b) => a - b).slice(0, 4);
  };

  // Read an amount typed with a point into minor units; null for nothing, NaN for no amount.
  const readAmount = (text, digits) => {
    const cleaned = text.replace(/[\p{Sc}\p{Zs}]/gu, "");
    if (!cleaned) return null;
    const match = /^(\d{0,10})(?:\.(\d*))?$/.exec(cleaned);
    if (!match || cleaned === ".") return NaN;
    const cents = (match[2] ?? "").replace(/0+$/, "");
    if (cents.length > digits) return NaN;
    return Number(match[1] || 0) * 10 ** digits + Number(cents.padEnd(digits, "0") || 0);
  };

  // Write minor units as a person types them: 1250.50.
  const typed = (minor, digits) => (minor / 10 ** digits).toFixed(digits);

  return { taxesOn, inCash, quote, roundAmountsOver, readAmount, typed };
})();
