"""Since when plants are there that were older than the entry they begin with."""

from collections.abc import Collection
from dataclasses import replace
from itertools import islice

from django.db.models import Exists, F, OuterRef

from inventory.models import Movement
from inventory.operations.begin import Before
from inventory.queries.on_hand import in_force
from sales.ledger_file.rows import Row

MOST_DAYS = 2


def read_before(row: Row) -> Before:
    """Return what a row says of its plants' time before: `since`, one day or two.

    The second day, after a slash, is when they were potted first, as ISO 8601 writes a span.
    """
    days = [
        replace(row, cells={"since": text}).day("since", "a date such as 2024-04-30")
        for text in islice(filter(None, row.text("since").split("/")), MOST_DAYS)
    ]
    if sorted(days) != days or (days and days[-1] > row.date):
        raise row.error("since", f"{row.text('since')} is not in order up to the row's own date.")
    began_on, potted_on = (*days, None, None)[:MOST_DAYS]
    return Before(began_on or row.date, potted_on)


def before_cells(movement: Movement, known: Collection[int]) -> dict:
    """Return the cells that tell of the time before a lot's first plants came in.

    `known` are the lots that rows before named; what joins them says nothing of it.
    """
    lot = movement.to_lot
    if lot.pk in known:
        return {}
    cells = {"note": lot.note} if lot.note else {}
    if lot.began_on < movement.date:
        days = [lot.began_on, lot.transplanted_on]
        cells["since"] = "/".join(day.isoformat() for day in days if day)
    return cells


def has_older_plants() -> bool:
    """Say whether any plants in force began before the entry that brought them in."""
    begun = Movement.objects.filter(kind=Movement.Kind.BEGUN, to_lot__began_on__lt=F("date"))
    earlier = Movement.objects.filter(to_lot=OuterRef("to_lot"), date__lt=OuterRef("date"))
    return in_force(begun).exclude(Exists(in_force(earlier))).exists()
