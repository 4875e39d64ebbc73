"""Set list prices, one or a whole sheet of them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from inventory.models import Container, Plant
from inventory.operations.posting import ledger_held
from nursery.context import current_currency
from nursery.money import round_to_currency
from sales.errors import SaleRefused
from sales.models import Price, PriceList

MOST = 1_000_000


@dataclass(frozen=True)
class NewPrice:
    """A price to set: for one plant before tax, or None to end the price that stood."""

    plant: Plant
    container: Container
    amount: Decimal | None
    list: str = PriceList.STAND
    grade: str = ""
    least: int = 1


def set_prices(*, prices: Iterable[NewPrice], on: date, request_id: UUID, by=None) -> list[Price]:
    """Set list prices from a day on, all or none of them.

    The same request again changes nothing and returns what it set. Raises SaleRefused for an
    amount the currency cannot pay, and for none at all.
    """
    with ledger_held():
        done = list(Price.objects.filter(request_id=request_id))
        if done:
            return done
        currency = current_currency()
        rows = [_row(price, currency, valid_from=on, request_id=request_id) for price in prices]
        if not rows:
            raise SaleRefused("No price was changed.", field="price")
        return Price.objects.bulk_create(rows)


def undo_prices(*, request_id: UUID, by=None) -> int:
    """Forget the prices one request set: those before them are in force again.

    Returns how many there were. Lines keep the price they were sold at, so no document
    depends on a list.
    """
    with ledger_held():
        return Price.objects.filter(request_id=request_id).delete()[0]


def whole_in_currency(price: Decimal, currency: str = "") -> Decimal:
    """Return a price that the nursery's currency can pay, or raise SaleRefused."""
    currency = currency or current_currency()
    if price < 0:
        raise SaleRefused("A price cannot be less than nothing.", field="price")
    if price != round_to_currency(price, currency):
        raise SaleRefused(
            f"{price} cannot be paid in {currency}: "
            f"{round_to_currency(price, currency)} would be right.",
            field="price",
        )
    return price


def _row(price, currency, **facts):
    if not 1 <= price.least <= MOST:
        raise SaleRefused(
            f"A price from {price.least} plants on cannot be: write 1 to {MOST:,}.", field="least"
        )
    if price.amount is not None:
        whole_in_currency(price.amount, currency)
    return Price(
        list=price.list,
        plant=price.plant,
        container=price.container,
        grade=price.grade.strip(),
        least=price.least,
        amount=price.amount,
        **facts,
    )
