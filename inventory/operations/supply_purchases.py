"""Take in many purchases at once: all of them, or none."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from inventory.models import Supply, SupplyEntry
from inventory.operations.posting import ledger_held
from inventory.operations.supplies import buy


@dataclass(frozen=True)
class Purchase:
    """What was bought, when, for how much; `request_id` tells it from every other."""

    supply: Supply
    quantity: Decimal
    amount: Decimal
    on: date
    request_id: UUID
    supplier: str = ""
    note: str = ""


@ledger_held()
def buy_all(*, purchases: Iterable[Purchase], by=None) -> list[SupplyEntry]:
    """Enter purchases in one transaction, and return the new ones: a known one is left out."""
    purchases = list(purchases)
    ids = [purchase.request_id for purchase in purchases]
    known = set(SupplyEntry.objects.filter(request_id__in=ids).values_list("request_id", flat=True))
    return [
        buy(**vars(purchase), by=by) for purchase in purchases if purchase.request_id not in known
    ]
