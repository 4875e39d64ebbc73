"""Let other apps keep what is entered together with plants, and take it back with them.

A notebook names prices beside its plants, and the ledger of plants does not know that sales
exist. An app registers what keeps them when it is ready. What was kept under the request of
an operation is taken back when that operation is undone.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Protocol
from uuid import UUID

from inventory.models import Container, Operation, Plant


@dataclass(frozen=True)
class PriceTold:
    """A price before tax that was written beside plants."""

    plant: Plant
    container: Container
    grade: str
    amount: Decimal


class KeepPrices(Protocol):
    """Keep prices from a day on, under a request id."""

    def __call__(self, prices: list[PriceTold], on: date, request_id: UUID, by) -> None: ...


_keepers: list[tuple[KeepPrices, Callable[[UUID], None]]] = []


def register_prices(keep: KeepPrices, take_back: Callable[[UUID], None]) -> None:
    """Let `keep` write prices down, and `take_back` forget those of a request."""
    if (keep, take_back) not in _keepers:
        _keepers.append((keep, take_back))


def keep_prices(prices: Iterable[PriceTold], *, on: date, request_id: UUID, by=None) -> None:
    """Write prices down with an operation of that request."""
    prices = list(prices)
    for keep, _ in _keepers if prices else ():
        keep(prices, on, request_id, by)


def take_back_with(operation: Operation) -> None:
    """Forget what was kept with an operation that is being undone."""
    if operation.kind == Operation.Kind.OPENING:
        for _, take_back in _keepers:
            take_back(operation.request_id)
