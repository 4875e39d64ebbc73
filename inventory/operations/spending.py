"""Charge what an operation uses up: supplies at their moving average, and people's time."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.models import Lot, Person, Supply, SupplyEntry, WorkEntry
from inventory.queries.supplies import cost_of_using, cost_of_work
from nursery.money import to_millionths


@dataclass(frozen=True)
class Use:
    """A quantity of a supply that an operation uses up, in the supply's unit."""

    supply: Supply
    quantity: Decimal

    def charge(self, draft, lot: Lot) -> None:
        """Charge the supply to a lot at its moving average."""
        amount = cost_of_using(self.supply, self.quantity)
        entry = SupplyEntry(
            operation=draft.operation,
            supply=self.supply,
            date=draft.date,
            kind=SupplyEntry.Kind.USED,
            quantity=-self.quantity,
            amount=-amount,
        )
        draft.supplies.append(entry)
        draft.charge(lot, {self.supply.category: amount})


@dataclass(frozen=True)
class Work:
    """Minutes that a person worked on an operation."""

    person: Person
    minutes: Decimal

    def charge(self, draft, lot: Lot) -> None:
        """Charge the time to a lot at what an hour of the person costs."""
        amount = cost_of_work(self.person, self.minutes)
        entry = WorkEntry(
            operation=draft.operation,
            person=self.person,
            category=self.person.category,
            minutes=self.minutes,
            amount=amount,
        )
        draft.work.append(entry)
        draft.charge(lot, {entry.category: amount})


def spend(draft, lot: Lot, uses: Iterable[Use | Work]) -> None:
    """Charge supplies and time to a lot, each as a cost of its own."""
    for use in uses:
        # What is no number is refused before a cost is worked out from it.
        to_millionths(use.minutes if isinstance(use, Work) else use.quantity)
        use.charge(draft, lot)
