"""Keep the prices that stand beside plants in a notebook, on the list of the stand."""

from datetime import date
from uuid import UUID

from inventory.entered_with import PriceTold
from sales.models import Price
from sales.operations.price import NewPrice, set_prices, undo_prices


def keep_told(prices: list[PriceTold], on: date, request_id: UUID, by=None) -> None:
    """Set prices from a day on, under the request that brought their plants in."""
    told = [NewPrice(row.plant, row.container, row.amount, grade=row.grade) for row in prices]
    set_prices(prices=told, on=on, request_id=request_id, by=by)


def forget_told(request_id: UUID) -> None:
    """Forget the prices of a request whose plants were taken out again."""
    undo_prices(request_id=request_id)


def has_told(request_id: UUID) -> bool:
    """Say whether prices of a request are in the book."""
    return Price.objects.filter(request_id=request_id).exists()
