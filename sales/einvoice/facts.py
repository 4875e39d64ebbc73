"""What an electronic invoice says, in the business terms of EN 16931-1 (BT and BG numbers).

The facts are plain values. Amounts are in the invoice's currency with two decimals, which the
standard's rules BR-DEC-* demand; only the price of one item may have more.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

INVOICE = "380"
CREDIT_NOTE = "381"
"""Codes of UNTDID 1001 for the kind of document (BT-3)."""

EXEMPT, OUTSIDE = "E", "O"
NEEDS_REASON = (EXEMPT, OUTSIDE)
"""Tax categories of UNCL5305 that say why no tax is charged (BR-E-10, BR-O-10)."""


@dataclass(frozen=True)
class Party:
    """Who sells (BG-4) or who buys (BG-7)."""

    name: str
    country: str
    street: str = ""
    postcode: str = ""
    city: str = ""
    region: str = ""
    tax_id: str = ""
    contact: str = ""
    phone: str = ""
    email: str = ""

    @property
    def tax_scheme(self) -> str:
        """How the tax number is registered: VA where it bears its country, FC elsewhere."""
        return "VA" if self.tax_id[:2].isalpha() else "FC"


@dataclass(frozen=True)
class InvoiceLine:
    """A number of plants at one price (BG-25).

    `price` is that of `price_quantity` plants before tax (BT-146, BT-149), so that a net
    which does not divide by the number is still stated exactly.
    """

    number: int
    name: str
    description: str
    quantity: int
    price: Decimal
    price_quantity: int
    net: Decimal
    category: str
    percent: Decimal
    gtin: str = ""
    lots: str = ""


@dataclass(frozen=True)
class TaxPart:
    """The tax of one category and rate (BG-23)."""

    category: str
    percent: Decimal
    base: Decimal
    amount: Decimal
    reason: str = ""


@dataclass(frozen=True)
class Invoice:
    """An invoice or a credit note, as it was issued."""

    number: str
    kind: str
    issued_on: date
    currency: str
    seller: Party
    buyer: Party
    lines: tuple[InvoiceLine, ...]
    taxes: tuple[TaxPart, ...]
    due_on: date | None = None
    terms: str = ""
    note: str = ""
    account: str = ""
    prepaid: Decimal = Decimal(0)
    corrects: str = ""
    corrects_issued_on: date | None = None

    @property
    def is_credit(self) -> bool:
        return self.kind == CREDIT_NOTE

    @property
    def is_outside_tax(self) -> bool:
        """Nothing here is subject to tax: then no tax number may be stated (BR-O-02)."""
        return any(part.category == OUTSIDE for part in self.taxes)

    @property
    def net(self) -> Decimal:
        """The sum of the lines (BT-106), which is the total before tax too (BT-109)."""
        return sum((line.net for line in self.lines), Decimal(0))

    @property
    def tax(self) -> Decimal:
        """The sum of the taxes (BT-110)."""
        return sum((part.amount for part in self.taxes), Decimal(0))

    @property
    def total(self) -> Decimal:
        """The total with tax (BT-112)."""
        return self.net + self.tax

    @property
    def due(self) -> Decimal:
        """What is left to pay (BT-115)."""
        return self.total - self.prepaid


def missing_in(seller: Party, buyer: Party, taxes: Iterable[TaxPart]) -> list[str]:
    """Say what an electronic invoice must state and this one does not, where to enter it."""
    wanted: Iterable[tuple[bool, str]] = (
        (bool(seller.name), "the nursery's name"),
        (bool(seller.country), "the nursery's country, under Settings"),
        (bool(seller.tax_id), "the nursery's tax number, under Settings"),
        (bool(buyer.name), "a buyer by name"),
        (bool(buyer.country), "the buyer's country, on the buyer's page"),
        (
            all(part.reason for part in taxes if part.category in NEEDS_REASON),
            "the reason why no tax was charged",
        ),
    )
    return [words for is_there, words in wanted if not is_there]
