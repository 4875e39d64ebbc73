"""Tax the lines of a document that is about to be issued."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from sales.models import Document, DocumentTax
from sales.queries.taxes import LineTax, TaxInForce
from sales.tax import Piece, TaxSum, shared_net, taxes_on


@dataclass(frozen=True)
class TaxPart:
    """The tax of all lines that are taxed alike, with its words."""

    tax: LineTax
    sum: TaxSum

    @property
    def as_fields(self) -> dict:
        """The fields of the DocumentTax it becomes."""
        return {
            "category": self.tax.category,
            "percent": self.tax.percent,
            "name": self.tax.name,
            "reason": self.tax.reason,
            "made_of": [[*words, f"{percent:f}"] for *words, percent in self.tax.made_of],
            "base": self.sum.base,
            "amount": self.sum.amount,
        }


@dataclass(frozen=True)
class TaxedLines:
    """A document's taxes, and for each of its lines the tax and what it brings before it."""

    parts: list[TaxPart]
    nets: list[Decimal]
    of_lines: list[LineTax]
    basis: str
    included: bool

    @property
    def net(self) -> Decimal:
        return sum((part.sum.base for part in self.parts), Decimal(0))

    @property
    def tax(self) -> Decimal:
        return sum((part.sum.amount for part in self.parts), Decimal(0))

    @property
    def of_document(self) -> dict:
        """The fields of the document that tell of tax."""
        return {
            "net": self.net,
            "tax": self.tax,
            "tax_basis": self.basis,
            "prices_include_tax": self.included,
        }


def taxed(lines: Sequence, rule: TaxInForce, exemption: str, digits: int) -> TaxedLines:
    """Tax lines by the rule of the day; `exemption` is why their buyer pays none."""
    taxes = [rule.of(line.plant, exemption) for line in lines]
    sums, nets = taxes_on(_pieces(lines, taxes), digits, rule.basis, rule.included)
    words = {tax.alike: tax for tax in taxes}
    parts = [TaxPart(words[one.category, one.percent], one) for one in sums]
    return TaxedLines(parts, nets, taxes, rule.basis, rule.included)


def credited(
    document: Document, lines: Sequence, earlier: Sequence[Document], digits: int
) -> TaxedLines:
    """Tax lines that come back as the document taxed them.

    The credit note that takes the last of what is taxed alike gives back all the tax that
    is left of it, so that all credits together give back exactly what the document bore.
    """
    taxes, pieces = [line.tax for line in lines], _pieces(lines, [line.tax for line in lines])
    included = document.prices_include_tax
    sums, nets = taxes_on(pieces, digits, document.tax_basis, included)
    left, words = _left_of(document, earlier), {tax.alike: tax for tax in taxes}
    parts = []
    for one in sums:
        alike = one.category, one.percent
        part = _no_more_than(one, left[alike], included)
        parts.append(TaxPart(words[alike], part))
        if part.base != one.base:
            places = [place for place, tax in enumerate(taxes) if tax.alike == alike]
            shares = shared_net([pieces[place] for place in places], part.base, digits)
            for place, net in zip(places, shares, strict=True):
                nets[place] = net
    return TaxedLines(parts, nets, taxes, document.tax_basis, included)


def tax_of_line(line) -> LineTax:
    """Return how an issued line was taxed, with the words of its document."""
    part = next(
        one
        for one in line.document.taxes.all()
        if (one.category, one.percent) == (line.tax_category, line.tax_percent)
    )
    made_of = tuple((where, name, Decimal(percent)) for where, name, percent in part.made_of)
    return LineTax(part.category, part.percent, part.name, part.reason, made_of)


def _pieces(lines, taxes):
    return [
        Piece(line.quantity, line.unit_price, *tax.alike)
        for line, tax in zip(lines, taxes, strict=True)
    ]


def _left_of(document, earlier) -> dict[tuple, TaxSum]:
    """Return what no credit note has given back yet, by what is taxed alike."""
    left = {
        (part.category, part.percent): TaxSum(part.category, part.percent, part.base, part.amount)
        for part in document.taxes.all()
    }
    for part in DocumentTax.objects.filter(document__in=earlier):
        one = left[part.category, part.percent]
        left[part.category, part.percent] = one._replace(
            base=one.base - part.base, amount=one.amount - part.amount
        )
    return left


def _no_more_than(one: TaxSum, left: TaxSum, included: bool) -> TaxSum:
    is_the_last = one.together == left.together if included else one.base == left.base
    if is_the_last:
        return left
    amount = min(one.amount, left.amount)
    return one._replace(amount=amount, base=one.together - amount if included else one.base)
