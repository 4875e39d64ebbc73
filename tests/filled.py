"""The demo nursery in a test's empty ledger: filled once in a run, then written from memory."""

from django.db import connection

from nursery import demo
from nursery.fresh_rows import look_at_new_rows

# What migrations and Django write by themselves, and no filling changes.
LEFT_ALONE = {
    *("django_migrations", "django_content_type"),
    *("auth_permission", "auth_group", "auth_group_permissions"),
}
_remembered: dict[str, tuple[list[str], list[tuple]]] = {}


def fill_with_the_demo() -> None:
    """Fill the ledger with the demo nursery, for as long as the test's transaction lasts."""
    if _remembered:
        _write()
    else:
        demo.fill(lambda text: None)
        _remember()
    look_at_new_rows()


def _remember() -> None:
    with connection.cursor() as cursor:
        for table in sorted(set(connection.introspection.table_names()) - LEFT_ALONE):
            cursor.execute(f"SELECT * FROM {table}")
            columns = [column[0] for column in cursor.description]
            if rows := cursor.fetchall():
                _remembered[table] = columns, rows


def _write() -> None:
    """Write every row under its number; keys between tables are looked at when all are there."""
    with connection.cursor() as cursor:
        for table, (columns, rows) in _remembered.items():
            if _holds_rows(cursor, table):
                cursor.execute(f"DELETE FROM {table}")
            names, places = ", ".join(columns), ", ".join(["%s"] * len(columns))
            cursor.executemany(f"INSERT INTO {table} ({names}) VALUES ({places})", rows)


def _holds_rows(cursor, table: str) -> bool:
    cursor.execute(f"SELECT 1 FROM {table} LIMIT 1")
    return cursor.fetchone() is not None
