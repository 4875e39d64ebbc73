"""Make a ledger ten times as long out of another, inside the database: minutes, not hours.

Of everything that grows there are then ten: batches, lots, operations, documents and all
that hangs on them by a foreign key. Row 7 becomes rows 70 to 79, so the order of the keys stays
the order of entry. Plants, places, prices and buyers stay as they are. What still stands in
nine of the ten is given away on the last day, so that equally much stands in ledgers of
every length. Both engines understand the statements.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from uuid import uuid4

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, models

from inventory.models import Batch, Lot, LotBalance, Operation
from inventory.operations import take_out
from sales.models import Document
from tests.benchmarks.filling import TODAY

TIMES = 10
# The shorter ledger's tables stand beside the new ones, under this name.
OLD = "old"


def multiply() -> None:
    """Fill the new ledger, which Django has open, with ten times the one beside it."""
    with connection.cursor() as cursor, bare(cursor):
        for model in apps.get_models(include_auto_created=True):
            if not model._meta.proxy:
                _copy(cursor, model)
    with connection.cursor() as cursor:
        for sql in connection.ops.sequence_reset_sql(no_style(), apps.get_models()):
            cursor.execute(sql)
        if connection.vendor == "postgresql":
            cursor.execute("ANALYZE")
    give_away_copies()


def _copy(cursor, model):
    table, grows = model._meta.db_table, model in growing()
    fields = [field for field in model._meta.concrete_fields if field.db_type(connection)]
    columns = ", ".join(f'"{field.column}"' for field in fields)
    values = ", ".join(new_value(field) if grows else f'"{field.column}"' for field in fields)
    key = f'"{model._meta.pk.column}"'
    cursor.execute(f'DELETE FROM "{table}"')
    cursor.execute(
        f'INSERT INTO "{table}" ({columns}) SELECT {values} FROM {OLD}."{table}" '
        + (f"CROSS JOIN ({copies()}) AS copies ORDER BY {key}, k" if grows else "")
    )


@cache
def growing() -> set[type[models.Model]]:
    """Return what grows with the history: its nouns, and what refers to what grows."""
    found = {Batch, Lot, Operation, Document}
    while more := {
        model
        for model in apps.get_models(include_auto_created=True)
        if model not in found and any(f.related_model in found for f in _own_fields(model))
    }:
        found |= more
    return found


def new_value(field: models.Field) -> str:
    """Return the expression of a column in copy k of a row."""
    column = f'"{field.column}"'
    if isinstance(field, models.ForeignKey):
        return f"{column} * {TIMES} + k" if field.related_model in growing() else column
    if field.primary_key:
        return f"{column} * {TIMES} + k"
    if field.model is Document and field.name in ("serial", "number"):
        serial = f"(serial - 1) * {TIMES} + k + 1"
        return serial if field.name == "serial" else f"series || '-' || {_four(serial)}"
    if isinstance(field, models.UUIDField) and field.unique:
        return _uuid(f"id * {TIMES} + k")
    return f"{column} || k" if field.unique else column


def _own_fields(model):
    return [field for field in model._meta.concrete_fields if field.is_relation]


def _four(number):
    if connection.vendor == "sqlite":
        return f"printf('%04d', {number})"
    return f"to_char({number}, 'FM' || repeat('0', greatest(4, length(({number})::text))))"


def _uuid(number):
    if connection.vendor == "sqlite":
        return f"printf('%032x', {number})"
    return f"lpad(to_hex({number}), 32, '0')::uuid"


def copies() -> str:
    return " UNION ALL ".join(f"SELECT {k} AS k" for k in range(TIMES))


@contextmanager
def bare(cursor) -> Iterator[None]:
    """Take triggers and indexes away for the block, and leave references unchecked."""
    if connection.vendor == "sqlite":
        cursor.execute("PRAGMA foreign_keys=OFF")
        cursor.execute("PRAGMA synchronous=OFF")
        cursor.execute("PRAGMA journal_mode=OFF")
        cursor.execute(
            "SELECT type, name, sql FROM sqlite_master "
            "WHERE type IN ('index', 'trigger') AND sql IS NOT NULL"
        )
    else:
        cursor.execute("SET session_replication_role = replica")
        cursor.execute(
            "SELECT 'index', indexname, indexdef FROM pg_indexes "
            "WHERE schemaname = 'public' AND indexname NOT IN (SELECT conname FROM pg_constraint)"
        )
    taken = cursor.fetchall()
    for kind, name, _ in taken:
        cursor.execute(f'DROP {kind} "{name}"')
    yield
    for _, _, sql in taken:
        cursor.execute(sql)
    if connection.vendor == "postgresql":
        cursor.execute("SET session_replication_role = origin")


def give_away_copies() -> None:
    """Give away, by the ledger's own verb, what stands in nine of ten copies."""
    standing = LotBalance.objects.filter(on_hand__gt=0).select_related("lot")
    for balance in standing.order_by("lot_id"):
        if balance.lot_id % TIMES:
            take_out(
                kind=Operation.Kind.GIVE,
                lot=balance.lot,
                quantity=balance.on_hand,
                on=TODAY,
                request_id=uuid4(),
            )
