"""Whether the database itself still holds what it must and refuses what the ledger forbids."""

import re
from collections.abc import Iterator
from functools import partial

from django.apps import apps
from django.db import connection
from django.db.models import Index

from inventory.models.ledger import LedgerRow
from nursery import append_only
from nursery.keeping.ailments.ailment import GRAVE, MEND, RESTORE, Ailment

# Triggers besides those of append_only, by the table they guard (see nursery/one_level.py).
ONE_LEVEL = {
    "sqlite": {"sales_buyer_one_level_insert", "sales_buyer_one_level_update"},
    "postgresql": {"sales_buyer_one_level"},
}

# Columns that are held to another table, and those no two rows share, each as "table.column".
HELD = {
    "sqlite": "SELECT t.name || '.' || k.\"from\" FROM sqlite_master t, "
    "pragma_foreign_key_list(t.name) k WHERE t.type = 'table'",
    "postgresql": "SELECT t.relname || '.' || a.attname FROM pg_constraint c "
    "JOIN pg_class t ON t.oid = c.conrelid JOIN pg_attribute a "
    "ON a.attrelid = t.oid AND a.attnum = ANY(c.conkey) WHERE c.contype = 'f'",
}
UNIQUE = {
    "sqlite": "SELECT t.name || '.' || c.name FROM sqlite_master t, pragma_index_list(t.name) i, "
    "pragma_index_info(i.name) c WHERE t.type = 'table' AND i.\"unique\" = 1",
    "postgresql": "SELECT t.relname || '.' || a.attname FROM pg_index i "
    "JOIN pg_class t ON t.oid = i.indrelid JOIN pg_attribute a "
    "ON a.attrelid = t.oid AND a.attnum = i.indkey[0] WHERE i.indisunique AND i.indnkeyatts = 1",
}


def columns() -> Iterator[Ailment]:
    """See no table and no column is missing."""
    with connection.cursor() as cursor:
        there = set(connection.introspection.table_names(cursor))
        for model in apps.get_models(include_auto_created=True):
            table = model._meta.db_table
            if table not in there:
                yield Ailment(GRAVE, f"The table {table} is missing.", RESTORE)
                continue
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)} LIMIT 0")
            wanted = {field.column for field in model._meta.local_concrete_fields}
            for column in sorted(wanted - {name for name, *_ in cursor.description}):
                yield Ailment(GRAVE, f"The column {column} of {table} is missing.", RESTORE)


def triggers() -> Iterator[Ailment]:
    """See no row of the ledger could be changed or deleted."""
    there = _asked(
        sqlite="SELECT name FROM sqlite_master WHERE type = 'trigger'",
        postgresql="SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'",
    )
    verbs = append_only.verbs(connection)
    ledger = (row._meta.db_table for row in apps.get_models() if issubclass(row, LedgerRow))
    open_ones = [
        table for table in sorted(ledger) if not {f"{table}_no_{verb}" for verb in verbs} <= there
    ]
    if open_ones:
        words = f"Rows could be changed or deleted in {', '.join(open_ones)}."
        yield Ailment(GRAVE, words, MEND, partial(append_only.install, open_ones, connection))
    for name in sorted(ONE_LEVEL[connection.vendor] - there):
        yield Ailment(GRAVE, f"The database has lost its guard {name}.", RESTORE)


def rules() -> Iterator[Ailment]:
    """See no rule and no index is lost."""
    there = _asked(
        sqlite="SELECT sql FROM sqlite_master WHERE sql IS NOT NULL",
        postgresql="SELECT conname FROM pg_constraint UNION SELECT indexname FROM pg_indexes",
    )
    if connection.vendor == "sqlite":
        there = {name for statement in there for name in re.findall(r'"(\w+)"', statement)}
    metas = [model._meta for model in apps.get_models()]
    named: list = [rule for meta in metas for rule in (*meta.constraints, *meta.indexes)]
    for lost in sorted({rule.name for rule in named} - there):
        what = "index" if any(isinstance(r, Index) and r.name == lost for r in named) else "rule"
        yield Ailment(GRAVE, f"The database has lost its {what} {lost}.", RESTORE)


def keys() -> Iterator[Ailment]:
    """See every column that names another row is held to it, and no single one is there twice."""
    held, unique = _asked(**HELD), _asked(**UNIQUE)
    for model in apps.get_models(include_auto_created=True):
        for field in model._meta.local_concrete_fields:
            name = f"{model._meta.db_table}.{field.column}"
            if field.remote_field and name not in held:
                yield Ailment(GRAVE, f"{name} may name what is not there.", RESTORE)
            if field.unique and not field.primary_key and name not in unique:
                yield Ailment(GRAVE, f"{name} may be there twice.", RESTORE)


def unchecked() -> Iterator[Ailment]:
    """See no rule and no index of PostgreSQL is switched off or half made."""
    if connection.vendor != "postgresql":
        return
    broken = _asked(
        postgresql="SELECT conname::text FROM pg_constraint WHERE NOT convalidated "
        "UNION SELECT indexrelid::regclass::text FROM pg_index WHERE NOT indisvalid"
    )
    for name in sorted(broken):
        yield Ailment(GRAVE, f"The database does not keep its rule {name} for all rows.", RESTORE)


def _asked(**statements: str) -> set[str]:
    """Ask the database what it has, in its own words."""
    with connection.cursor() as cursor:
        cursor.execute(statements[connection.vendor])
        return {name for (name,) in cursor.fetchall()}
