"""Foresee what a payment will do, before it is written and when it is."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property

from django.db.models import Sum

from inventory.models import Nursery
from nursery.cash import in_cash
from nursery.money import format_money, round_to_currency
from sales.errors import SaleRefused
from sales.models import Buyer, Document, Payment
from sales.paying import NOTHING, early_discount, settle
from sales.queries.owed import with_owed

Method = Payment.Method
ON_ACCOUNT, AS_CHANGE = "account", "change"


@dataclass(frozen=True)
class Way:
    """How an amount is paid: by what, when, and what becomes of more or less than is owed."""

    method: str
    on: date
    rest: str = ""
    let_go: str = ""
    discount: bool = False


@dataclass(frozen=True)
class Row:
    """An amount that settles part of a document."""

    document: Document
    method: str
    amount: Decimal
    note: str = ""


@dataclass(frozen=True)
class Foreseen:
    """What a document owes, what is settled of it, and what is left."""

    document: Document
    owed: Decimal
    settled: Decimal
    left: Decimal


class Paying:
    """One amount on its way to documents: what it settles, what is over, what stays owed.

    A discount for paying early is worked out on what is left of the goods before tax, less
    what was let go; tax stays as invoiced.
    """

    def __init__(
        self, documents: Sequence[Document], buyer: Buyer | None, amount: Decimal, way: Way
    ):
        nursery = Nursery.current()
        self.currency = nursery.currency
        self.buyer, self.amount, self.way = buyer, amount, way
        self.step = nursery.smallest_cash if way.method == Method.CASH else NOTHING
        found = with_owed(Document.objects.filter(pk__in=[row.pk for row in documents]))
        by_key = {row.pk: row for row in found}
        self.documents = [by_key[row.pk] for row in documents]
        self.let_go_before = let_go_on(self.documents)
        self.open = [-row.paid if row.cancelled else row.owed for row in self.documents]
        self.discounts = [self._discount(row) for row in self.documents]
        self.owed = [due - cut for due, cut in zip(self.open, self.discounts, strict=True)]

    @cached_property
    def settled(self):
        """What the amount settles; of money going back, its one document."""
        if self.is_back:
            back = settle([-self.owed[0]], -self.amount, self.step)
            whole = -self.amount == back.payable
            return back if whole else settle([-self.amount], -self.amount)
        return settle([max(due, NOTHING) for due in self.owed], self.amount, self.step)

    @property
    def is_back(self) -> bool:
        return self.amount < 0

    @property
    def sign(self) -> int:
        return -1 if self.is_back else 1

    @property
    def payable(self) -> Decimal:
        """What settles the whole: rounded where it is cash."""
        return in_cash(sum(self.owed, NOTHING), self.step)

    @property
    def over(self) -> Decimal:
        """What is more than is owed."""
        return NOTHING if self.is_back else self.settled.over

    @property
    def on_account(self) -> Decimal:
        return self.over if self.way.rest == ON_ACCOUNT else NOTHING

    @property
    def change(self) -> Decimal:
        return self.over if self.way.rest == AS_CHANGE else NOTHING

    @property
    def left(self) -> list[Decimal]:
        """What stays owed on each document, unless it is let go."""
        return (
            [NOTHING] if self.is_back else self.settled.left([max(d, NOTHING) for d in self.owed])
        )

    @property
    def rows(self) -> list[Row]:
        """What is written on the documents."""
        found = []
        parts = zip(
            self.documents,
            self.settled.money,
            self.settled.rounded,
            self.discounts,
            self.left,
            strict=True,
        )
        for document, money, rounded, discount, left in parts:
            found += [
                Row(document, self.way.method, self.sign * money),
                Row(document, Method.ROUNDING, self.sign * rounded),
                Row(document, Method.DISCOUNT, discount),
            ]
            if self.way.let_go:
                found.append(Row(document, Method.ALLOWANCE, left, self.way.let_go))
        return [row for row in found if row.amount]

    @property
    def shown(self) -> Iterator[Foreseen]:
        """Yield what becomes of each document."""
        for document, due, left in zip(self.documents, self.open, self.left, strict=True):
            left = NOTHING if self.way.let_go else left
            yield Foreseen(document, due, due - left, left)

    @property
    def words(self) -> str:
        """What will be true after, in a sentence or two."""
        left, rounded = sum(self.left, NOTHING), sum(self.settled.rounded, NOTHING)
        said = [f"{self._money(abs(self.amount))} {'goes back' if self.is_back else 'comes in'}."]
        if rounded:
            said.append(f"{self._money(abs(rounded))} is rounded, as cash is paid.")
        if cut := sum(self.discounts, NOTHING):
            said.append(f"{self._money(cut)} is their discount for paying early.")
        if left and self.way.let_go:
            said.append(f"{self._money(left)} is let go.")
        elif left:
            said.append(f"{self._money(left)} stays owed.")
        elif not self.is_back:
            said.append("All of it is paid then.")
        if self.on_account:
            said.append(f"{self._money(self.on_account)} goes onto the account.")
        if self.change:
            said.append(f"Give back {self._money(self.change)}.")
        return " ".join(said)

    def refuse(self) -> None:
        """Raise SaleRefused where this cannot be written, and say what can."""
        if self.amount != in_cash(self.amount, self.step):
            raise SaleRefused(
                f"{self._money(self.amount)} cannot be paid in cash, where the smallest amount "
                f"is {self._money(self.step)}: "
                f"{self._money(in_cash(self.amount, self.step))} would be right.",
                field="amount",
            )
        if self.way.discount and not any(self.discounts):
            raise SaleRefused(
                "No discount for paying early is granted on that day. Leave it out.",
                field="discount",
            )
        if self.is_back:
            self._refuse_back()
        elif self.over:
            self._refuse_over()
        elif self.way.discount and any(self.left):
            raise SaleRefused(
                f"The discount is for paying the whole: {self._money(self.payable)} would be "
                "right, or leave the discount out.",
                field="amount",
            )
        if not self.rows:
            raise SaleRefused("Nothing is owed there. Choose what is paid.", field="amount")

    def _refuse_back(self):
        received = sum((row.paid for row in self.documents), NOTHING)
        if len(self.documents) > 1 or -self.amount > max(received, NOTHING):
            raise SaleRefused(
                f"{self._money(max(received, NOTHING))} was paid on {self.documents[0]}; "
                f"{self._money(-self.amount)} cannot be paid back.",
                field="amount",
            )

    def _refuse_over(self):
        if self.way.rest == ON_ACCOUNT and self.buyer is None:
            raise SaleRefused(
                f"A walk-in has no account: give {self._money(self.over)} back as change.",
                field="rest",
            )
        if self.way.rest not in (ON_ACCOUNT, AS_CHANGE):
            where = str(self.documents[0]) if len(self.documents) == 1 else "these invoices"
            raise SaleRefused(
                f"{self._money(max(self.payable, NOTHING))} is owed on {where}; "
                f"{self._money(self.amount)} is {self._money(self.over)} more. Say what becomes "
                "of the rest, or enter what belongs here.",
                field="amount",
            )

    def _discount(self, row):
        if not self.way.discount or self.is_back or not may_keep_discount(row, self.way.on):
            return NOTHING
        kept = row.net - row.credited_net - self.let_go_before.get(row.pk, NOTHING)
        discount = early_discount(kept, row.discount_percent)
        return min(round_to_currency(discount, self.currency), max(row.owed, NOTHING))

    def _money(self, amount):
        return format_money(amount, self.currency)


def may_keep_discount(document: Document, on: date) -> bool:
    """Say whether a document still grants its discount on that day."""
    return bool(document.discount_until) and on <= document.discount_until


def let_go_on(documents: Sequence[Document]) -> dict[int, Decimal]:
    """Return {document: what was let go of it} for those with any."""
    rows = Payment.objects.filter(document__in=documents, method=Method.ALLOWANCE).order_by()
    return dict(rows.values("document").annotate(sum=Sum("amount")).values_list("document", "sum"))
