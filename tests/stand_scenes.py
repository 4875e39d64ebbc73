"""Days at a stand, as the tests begin them."""

from decimal import Decimal
from uuid import uuid4

from inventory.models import Lot
from sales import operations
from sales.models import StandDay
from sales.queries.stand_day import StandFigures, figures_of
from tests.factories import DAY, PlaceFactory


def stand(began_with: str = "40.00", plants=None, **more) -> StandDay:
    """Open a stand with a float, and with plants out."""
    facts = {"place": more.pop("place", None) or PlaceFactory(), "on": DAY}
    return operations.open_stand(
        began_with=Decimal(began_with), plants=plants, request_id=uuid4(), **facts | more
    )


def sell_at(day: StandDay, lot: Lot, number: int, paid_by: str = "cash", **more):
    """Sell plants of a lot's kind at its list price."""
    item = operations.Item(lot.plant, lot.container, number)
    facts = {"on": DAY, "request_id": uuid4(), "stand": day, "paid_by": paid_by}
    return operations.sell(items=[item], **facts | more)


def close(day: StandDay, cash: str, left=(), **more):
    """Close a stand with plants left as (lot, number) or (lot, number, cause)."""
    rows = [operations.Left(*row) for row in left]
    facts = {"on": DAY, "request_id": uuid4()}
    return operations.close_stand(day=day, left=rows, cash=Decimal(cash), **facts | more)


def give_out(day: StandDay, amount: str, kind: str = "paid_out", note: str = "twine"):
    """Take money out of the box."""
    return operations.move_money(
        day=day, kind=kind, amount=-Decimal(amount), on=DAY, note=note, request_id=uuid4()
    )


def figures(day: StandDay) -> StandFigures:
    """Read a day's figures anew."""
    return figures_of(StandDay.objects.get(pk=day.pk))
