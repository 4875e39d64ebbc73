"""What sold plants brought and cost, net of returns, by whatever is asked."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from django.db import connection

from inventory.costing.categories import CATEGORIES
from inventory.models import Batch
from inventory.queries.ledger_rows import carried_cost
from inventory.queries.lineage import shares_of_movements
from nursery.money import MILLION
from sales.models import Buyer
from sales.pricing import margin_percent

# How plants were sold, by the kind of the buyer; whoever gave no name bought at the stand.
AT_THE_STAND = "at the stand"
CHANNELS = {
    Buyer.Kind.LANDSCAPER: "to landscapers",
    Buyer.Kind.GARDEN: "to gardeners",
    Buyer.Kind.TRADE: "to the trade",
    Buyer.Kind.OTHER: "to other buyers",
}
CHANNEL = " ".join(f"WHEN '{kind.value}' THEN '{words}'" for kind, words in CHANNELS.items())
KEYS = {
    "sale": "COALESCE(corrected.number, document.number)",
    "lot": "lot.code",
    "plant": "plant.name",
    "container": "container.code",
    "buyer": "COALESCE(buyer.name, 'walk-in')",
    "channel": f"CASE buyer.kind {CHANNEL} ELSE '{AT_THE_STAND}' END",
    "month": "SUBSTR(CAST(m.date AS text), 1, 7)",
}
SOLD = """
FROM sales_take take
JOIN inventory_movement m ON m.id = take.movement_id
JOIN inventory_carried c ON c.movement_id = m.id
JOIN sales_documentline line ON line.id = take.line_id
JOIN sales_document document ON document.id = line.document_id
JOIN inventory_lot lot ON lot.id = COALESCE(m.from_lot_id, m.to_lot_id)
JOIN inventory_plant plant ON plant.id = lot.plant_id
JOIN inventory_container container ON container.id = lot.container_id
LEFT JOIN sales_document corrected ON corrected.id = document.corrects_id
LEFT JOIN sales_buyer entry ON entry.id = document.buyer_id
LEFT JOIN sales_buyer buyer ON buyer.id = COALESCE(entry.same_as_id, entry.id)
WHERE (CAST(%s AS date) IS NULL OR m.date >= %s)
  AND (CAST(%s AS date) IS NULL OR m.date <= %s)
"""
SIGN = "CASE m.kind WHEN 'sold' THEN 1 ELSE -1 END"
SUMS = f"""
SUM({SIGN} * m.quantity), SUM({SIGN} * take.net),
SUM({SIGN} * ({{cost}}))
"""
Counted = tuple[str, ...]


@dataclass(frozen=True)
class Margin:
    """Plants sold, and what they brought and cost in the currency unit.

    The numbers are exact; a batch's part of a blended lot may be a fraction.
    """

    key: str
    sold: Fraction
    revenue: Fraction
    cost_of_sales: Fraction

    @property
    def margin(self) -> Fraction:
        return self.revenue - self.cost_of_sales

    @property
    def unit_price(self) -> Fraction | None:
        return self._each(self.revenue)

    @property
    def unit_cost(self) -> Fraction | None:
        return self._each(self.cost_of_sales)

    @property
    def unit_margin(self) -> Fraction | None:
        return self._each(self.margin)

    @property
    def margin_percent(self) -> Fraction | None:
        """The margin as a percentage of the revenue."""
        return margin_percent(self.revenue, self.cost_of_sales) if self.revenue else None

    def _each(self, amount):
        return amount / self.sold if self.sold else None


def margin_by(
    what: str,
    *,
    since: date | None = None,
    on: date | None = None,
    counted: Counted = CATEGORIES,
) -> list[Margin]:
    """Return the margin by lot, plant, container, batch, sale, buyer, channel or month.

    Covers sales and returns from `since` to the day `on`, both included. What came back
    counts in the sale it was of. A channel is how plants were sold, by the kind its buyer
    has now. `counted` are the categories of cost in it: PAID leaves the grower's own time out.
    """
    sums = SUMS.format(cost=carried_cost(counted))
    if what == "batch":
        return _by_batch(since, on, sums)
    key = KEYS[what]
    rows = sold_rows(f"SELECT {key}, {sums} {SOLD} GROUP BY {key} ORDER BY {key}", since, on)
    return [_margin(*row) for row in rows]


def _margin(key, sold, revenue, cost):
    return Margin(key, Fraction(int(sold)), _units(revenue), _units(cost))


def margin_of_all(
    *, since: date | None = None, on: date | None = None, counted: Counted = CATEGORIES
) -> Margin:
    """Return the margin of all sales together."""
    rows = margin_by("container", since=since, on=on, counted=counted)
    return Margin(
        "all",
        sum((row.sold for row in rows), Fraction(0)),
        sum((row.revenue for row in rows), Fraction(0)),
        sum((row.cost_of_sales for row in rows), Fraction(0)),
    )


def margin_with(entries: Iterable[Buyer], counted: Counted = CATEGORIES) -> Margin | None:
    """Return what all sales to the entries of a buyer brought and cost; None before the first."""
    keys = ", ".join(str(int(entry.pk)) for entry in entries)
    key, sums = KEYS["buyer"], SUMS.format(cost=carried_cost(counted))
    theirs = f"AND document.buyer_id IN ({keys})"
    rows = sold_rows(f"SELECT {key}, {sums} {SOLD} {theirs} GROUP BY {key}", None, None)
    return _margin(*rows[0]) if rows else None


def _by_batch(since, on, sums):
    rows = sold_rows(f"SELECT m.id, lot.id, {sums} {SOLD} GROUP BY m.id, lot.id", since, on)
    shares = shares_of_movements((movement, lot) for movement, lot, *_ in rows)
    codes = dict(Batch.objects.values_list("pk", "code"))
    totals: dict[str, list[Fraction]] = defaultdict(lambda: [Fraction(0)] * 3)
    for movement, _, *numbers in rows:
        for batch, share in shares[movement].items():
            totals[codes[batch]] = [
                total + int(number) * share
                for total, number in zip(totals[codes[batch]], numbers, strict=True)
            ]
    return [
        Margin(code, sold, _units(revenue), _units(cost))
        for code, (sold, revenue, cost) in sorted(totals.items())
    ]


def sold_rows(statement: str, since: date | None, on: date | None) -> list[tuple]:
    """Return the rows of a statement made of SOLD, for sales from one day to another."""
    with connection.cursor() as cursor:
        cursor.execute(statement, [since, since, on, on])
        return cursor.fetchall()


def _units(millionths) -> Fraction:
    # PostgreSQL sums whole numbers as Decimal, SQLite as int; a batch's part is a Fraction.
    return Fraction(millionths) / MILLION
