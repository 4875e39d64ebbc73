"""Let other apps keep what is entered together with plants, and take it back with them.

A notebook names prices beside its plants, and the ledger of plants does not know that sales
exist. An app registers what keeps them when it is ready. What was kept under the request of
an operation is taken back when that operation is undone.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import NamedTuple, Protocol
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


class Keeper(NamedTuple):
    """What writes prices down, forgets those of a request, and knows whether it has any."""

    keep: KeepPrices
    take_back: Callable[[UUID], None]
    has: Callable[[UUID], bool]


_keepers: list[Keeper] = []
_told: list[Callable[[Operation], None]] = []


def register_prices(keeper: Keeper) -> None:
    """Let an app keep prices."""
    if keeper not in _keepers:
        _keepers.append(keeper)


def register_undoing(tell: Callable[[Operation], None]) -> None:
    """Let an app keep right what it keeps of operations, whenever one is undone."""
    if tell not in _told:
        _told.append(tell)


def keep_prices(prices: Iterable[PriceTold], *, on: date, request_id: UUID, by=None) -> None:
    """Write prices down with an operation of that request."""
    prices = list(prices)
    for keeper in _keepers if prices else ():
        keeper.keep(prices, on, request_id, by)


def take_back_with(operation: Operation) -> None:
    """Forget what was kept with an operation that is being undone, and tell who asked to know."""
    for tell in _told:
        tell(operation)
    if operation.kind == Operation.Kind.OPENING:
        for keeper in _keepers:
            keeper.take_back(operation.request_id)


def set_prices_too(operation: Operation) -> bool:
    """Say whether prices were kept with an operation, so that undoing it changes prices."""
    is_opening = operation.kind == Operation.Kind.OPENING
    return is_opening and any(keeper.has(operation.request_id) for keeper in _keepers)
