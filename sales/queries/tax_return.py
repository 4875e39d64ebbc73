"""What was taxed in a span of days, by jurisdiction, as a return asks for it."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.costing.allocation import largest_remainder
from nursery.money import from_millionths, to_millionths
from sales.models import Document, DocumentTax, TaxCategory


@dataclass(frozen=True)
class TaxedRow:
    """One jurisdiction's tax of a kind: sales less credit notes, in the currency unit."""

    jurisdiction: str
    name: str
    category: str
    percent: Decimal
    base: Decimal
    tax: Decimal

    @property
    def words(self) -> str:
        return TaxCategory(self.category).label


def tax_return(since: date, until: date) -> list[TaxedRow]:
    """Return what was taxed from one day to another, both included.

    Tax is computed on state and local percents together (SSUTA section 324), so each
    jurisdiction's part of a sum is its share of the percent; the parts add up to the sum.
    The whole base stands beside each. Cancelled documents are left out.
    """
    sums: dict[tuple, list[Decimal]] = defaultdict(lambda: [Decimal(0), Decimal(0)])
    taxes = DocumentTax.objects.filter(
        document__in=Document.objects.standing().filter(date__range=(since, until))
    )
    for tax in taxes.select_related("document").order_by("pk"):
        sign = -1 if tax.document.is_credit else 1
        parts = tuple((where, name, Decimal(part)) for where, name, part in tax.made_of)
        total = sums[tax.category, parts or (("", tax.name, tax.percent),)]
        total[0] += sign * tax.base
        total[1] += sign * tax.amount
    rows = [row for (kind, parts), total in sums.items() for row in _rows(kind, parts, *total)]
    return _together(rows)


def all_tax(rows: list[TaxedRow]) -> Decimal:
    """Return the tax of all jurisdictions."""
    return sum((row.tax for row in rows), Decimal(0))


def _rows(category, parts, base, amount):
    """Yield a row for each part of a percent; no tax is due where all are nothing."""
    weights = [to_millionths(percent) for _, _, percent in parts]
    size = abs(to_millionths(amount))
    shares = largest_remainder(size, weights) if any(weights) else [0] * len(parts)
    sign = -1 if amount < 0 else 1
    for (where, name, percent), share in zip(parts, shares, strict=True):
        tax = sign * from_millionths(share)
        yield TaxedRow(where, name, category, percent, base, tax)


def _together(rows):
    """Return rows of one jurisdiction, name, category and percent as one."""
    sums: dict[tuple, list[Decimal]] = defaultdict(lambda: [Decimal(0), Decimal(0)])
    for row in rows:
        total = sums[row.jurisdiction, row.name, row.category, row.percent]
        total[0] += row.base
        total[1] += row.tax
    return [TaxedRow(*key, *total) for key, total in sorted(sums.items())]
