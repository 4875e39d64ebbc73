"""Losses added up: by cause, and by month."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.queries.losses import LossRow


@dataclass
class LossSum:
    """Plants lost under one heading: as expected, beyond it, and the cost expensed."""

    name: str | date
    normal: int = 0
    abnormal: int = 0
    expensed: Decimal = Decimal(0)

    @property
    def quantity(self) -> int:
        return self.normal + self.abnormal

    def add(self, row: LossRow) -> None:
        """Add one more loss."""
        self.normal += row.normal
        self.abnormal += row.abnormal
        self.expensed += row.expensed


def all_together(rows: Iterable[LossRow]) -> LossSum:
    """Return all losses as one sum."""
    total = LossSum("all")
    for row in rows:
        total.add(row)
    return total


def by_cause(rows: Iterable[LossRow]) -> list[LossSum]:
    """Return the losses to each cause, the largest first."""
    sums = _summed(rows, lambda row: row.cause_name)
    return sorted(sums, key=lambda sum_: (-sum_.quantity, sum_.name))


def by_month(rows: Iterable[LossRow]) -> list[LossSum]:
    """Return the losses of each month that had any, named by its first day, in order."""
    sums = _summed(rows, lambda row: row.date.replace(day=1))
    return sorted(sums, key=lambda sum_: sum_.name)


def _summed(rows, name_of: Callable):
    sums: dict = {}
    for row in rows:
        name = name_of(row)
        sums.setdefault(name, LossSum(name)).add(row)
    return list(sums.values())
