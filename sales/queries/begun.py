"""Rows that hold from a day on, until a later one replaces them: prices, numbers, taxes."""

from collections.abc import Collection, Iterable
from datetime import date
from typing import TypeVar

from django.db.models import Model

from inventory.queries.ledger_rows import marks
from nursery.columns import columns_of

Row = TypeVar("Row", bound=Model)


def begun(
    model: type[Row], on: date | None = None, plants: Collection[int] | None = None
) -> Iterable[Row]:
    """Return the rows begun by a day, or all of them, of some plants or of all.

    Earlier ones come first, so that later ones overwrite them. Every sale asks for three
    kinds of them: in SQL that takes a third of the time.
    """
    conditions, given = ["TRUE"], []
    if on:
        conditions.append("valid_from <= %s")
        given.append(on)
    if plants is not None:
        conditions.append(f"plant_id IN ({marks(plants)})")
        given += plants
    return model._default_manager.raw(
        f"SELECT {columns_of(model)} FROM {model._meta.db_table} "
        f"WHERE {' AND '.join(conditions)} ORDER BY valid_from, id",
        given,
    )
