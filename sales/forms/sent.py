"""Read the sales that a phone kept and sends."""

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from decimal import Decimal
from uuid import UUID

from django.utils import timezone
from django.utils.dateparse import parse_datetime

from inventory.models import Container, Lot, Plant
from sales.forms.amounts import read_amount
from sales.forms.payments import MONEY
from sales.models import Buyer, StandDay
from sales.operations import Item, SentSale

MOST_IN_ONE = 100
MOST_PLANTS = 1_000_000


class Unreadable(ValueError):
    """What came is not a sale that a stand keeps; says what is wrong with it."""


class SentReader:
    """Reads sales with what they name looked up together."""

    def __init__(self, rows: Iterable[Mapping], clock: str):
        self.rows = list(rows)
        if len(self.rows) > MOST_IN_ONE:
            raise Unreadable(f"Send {MOST_IN_ONE} sales at once, or fewer.")
        self.clock_off = _moment(clock) - timezone.now() if clock else timedelta()
        items = [item for row in self.rows for item in row.get("items", ())]
        self.plants = Plant.objects.in_bulk(_keys(items, "plant"))
        self.containers = Container.objects.in_bulk(_keys(items, "container"))
        lots = Lot.objects.select_related("plant", "container", "balance")
        self.lots = lots.in_bulk(_keys(items, "lot"))
        self.stands = StandDay.objects.in_bulk(_keys(self.rows, "stand"))
        self.buyers = Buyer.objects.in_bulk(_keys(self.rows, "buyer"))

    def sale(self, row: Mapping) -> SentSale:
        """Return one of the rows as what `book_sent` takes, or raise Unreadable."""
        try:
            items = tuple(self._item(item) for item in row["items"])
            paid_by = row.get("paid_by", "")
            if not items or paid_by not in ("", *dict(MONEY)):
                raise Unreadable("It has no plants, or is paid in a way nobody knows.")
            buyer = self.buyers[row["buyer"]] if row.get("buyer") else None
            return SentSale(
                request_id=UUID(row["request"]),
                items=items,
                grades=tuple(str(item.get("grade", "")) for item in row["items"]),
                made_at=_moment(row["at"]),
                clock_off=self.clock_off,
                buyer=buyer,
                paid_by=paid_by,
                note=str(row.get("note", ""))[:500],
                stand=self.stands[row["stand"]] if row.get("stand") else None,
            )
        except Unreadable:
            raise
        except (KeyError, TypeError, ValueError, AttributeError) as error:
            raise Unreadable(f"It names something the ledger does not have: {error}.") from error

    def _item(self, row):
        quantity = int(row["quantity"])
        price = read_amount(str(row["price"]))
        if not 0 < quantity < MOST_PLANTS or price < 0:
            raise Unreadable(f"{quantity} plants at {price} each cannot be sold.")
        return Item(
            plant=self.plants[row["plant"]],
            container=self.containers[row["container"]],
            quantity=quantity,
            lot=self.lots[row["lot"]] if row.get("lot") else None,
            unit_price=price,
            price_reason=str(row.get("reason", ""))[:80],
        )


def asked_total(row: Mapping) -> Decimal | None:
    """Return the total that the phone asked for, where it sends one."""
    try:
        return read_amount(str(row["total"]))
    except (KeyError, ValueError):
        return None


def _keys(rows, name) -> set[int]:
    return {row[name] for row in rows if type(row.get(name)) is int}


def _moment(text) -> datetime:
    found = parse_datetime(str(text))
    if found is None or timezone.is_naive(found):
        raise Unreadable(f"“{text}” is not a moment.")
    return found
