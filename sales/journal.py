"""Double entry on plain values: entries of balanced lines, exact or in whole cents.

An amount is debited where positive and credited where negative. It is in millionths of the
currency unit, so that nothing is lost on the way.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from inventory.errors import LedgerError
from nursery.money import from_millionths, round_half_up, to_millionths
from sales.accounts import Account


class Unbalanced(LedgerError):
    """An entry whose debits and credits differ."""


@dataclass(frozen=True)
class Line:
    """An amount on one account, in millionths: a debit, or a credit where negative."""

    account: str
    amount: int

    @property
    def debit(self) -> Decimal:
        return from_millionths(max(self.amount, 0))

    @property
    def credit(self) -> Decimal:
        return from_millionths(max(-self.amount, 0))


@dataclass
class Entry:
    """Something that happened, as amounts going from one account to another."""

    key: str
    date: date
    text: str
    document: str = ""
    pairs: list[tuple[str, str, int]] = field(default_factory=list)

    def post(self, debit: str, credit: str, amount: Decimal | int) -> None:
        """Debit one account and credit another; a negative amount goes the other way."""
        millionths = amount if isinstance(amount, int) else to_millionths(amount)
        if millionths:
            self.pairs.append((debit, credit, millionths))

    def lines(self) -> list[Line]:
        """Return the lines, one an account, debits first."""
        sums: dict[str, int] = defaultdict(int)
        for debit, credit, amount in self.pairs:
            sums[debit] += amount
            sums[credit] -= amount
        found = [Line(account, amount) for account, amount in sums.items() if amount]
        return checked(sorted(found, key=lambda line: line.amount < 0))


def checked(lines: list[Line]) -> list[Line]:
    """Return the lines of an entry, or raise Unbalanced where debits and credits differ."""
    difference = sum(line.amount for line in lines)
    if difference:
        raise Unbalanced(
            f"Debits and credits of this entry differ by {from_millionths(difference)}; "
            "they must be the same."
        )
    return lines


def in_minor_units(entries: Iterable[Entry], digits: int) -> Iterator[Entry]:
    """Yield the entries in whole cents, each still balanced.

    What rounding leaves over is carried into the next entry between the same two
    accounts, so that what went between them is never a whole cent off.
    """
    exact: dict[tuple, int] = defaultdict(int)
    posted: dict[tuple, int] = defaultdict(int)
    for entry in entries:
        rounded = Entry(entry.key, entry.date, entry.text, entry.document)
        for debit, credit, amount in entry.pairs:
            pair = (debit, credit)
            exact[pair] += amount
            due = to_millionths(round_half_up(from_millionths(exact[pair]), digits))
            rounded.post(debit, credit, due - posted[pair])
            posted[pair] = due
        yield rounded


@dataclass(frozen=True)
class JournalRow:
    """One line of an entry."""

    date: date
    entry: str
    code: str
    account: str
    debit: Decimal
    credit: Decimal
    text: str
    document: str


def journal_rows(entries: Iterable[Entry], accounts: dict[str, Account]) -> Iterator[JournalRow]:
    """Yield the lines of the entries, with the accounts' own codes and names."""
    for entry in entries:
        for line in entry.lines():
            account = accounts[line.account]
            yield JournalRow(
                entry.date,
                entry.key,
                account.code,
                account.name,
                line.debit,
                line.credit,
                entry.text,
                entry.document,
            )
