"""Rows that hold from a day on, until a later one replaces them: prices, numbers, taxes."""

from collections.abc import Collection
from datetime import date

from django.db.models import Model

from inventory.queries.ledger_rows import marks


def begun(
    model: type[Model],
    columns: str,
    on: date | None = None,
    plants: Collection[int] | None = None,
) -> tuple[str, list]:
    """Return a statement for the rows begun by a day, or all, of some plants or of all.

    Earlier ones come first, so that later ones overwrite them. With it is what it is given.
    Every sale asks for three kinds of them; the models take three times as long to ask.
    """
    conditions, given = ["TRUE"], []
    if on:
        conditions.append("valid_from <= %s")
        given.append(on)
    if plants is not None:
        conditions.append(f"plant_id IN ({marks(plants)})")
        given += plants
    where = " AND ".join(conditions)
    table = model._meta.db_table
    return f"SELECT {columns} FROM {table} WHERE {where} ORDER BY valid_from, id", given
