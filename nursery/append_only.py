"""Database triggers that let a table only grow. Used by migrations."""

from collections.abc import Callable

from django.db import migrations

REFUSAL = "The ledger only grows: a row of {table} is never changed or deleted."

POSTGRESQL_FUNCTION = """
CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger AS $$
BEGIN
    RAISE EXCEPTION 'The ledger only grows: a row of % is never changed or deleted.',
        TG_TABLE_NAME;
END
$$ LANGUAGE plpgsql;
"""
SQLITE_TRIGGER = """
CREATE TRIGGER IF NOT EXISTS {table}_no_{verb} BEFORE {verb} ON {table}
BEGIN SELECT RAISE(ABORT, '{refusal}'); END;
"""
# Without it, INSERT OR REPLACE would delete the old row unseen by the trigger above.
SQLITE_NO_REPLACE = """
CREATE TRIGGER IF NOT EXISTS {table}_no_replace BEFORE INSERT ON {table}
WHEN EXISTS (SELECT 1 FROM {table} WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, '{refusal}'); END;
"""
POSTGRESQL_TRIGGER = """
CREATE OR REPLACE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table}
FOR EACH {each} EXECUTE FUNCTION refuse_change();
"""


def install(tables: list[str], connection) -> None:
    """Make the database refuse changes to these tables."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(POSTGRESQL_FUNCTION)
        for table in tables:
            for verb in verbs(connection):
                cursor.execute(_trigger(connection, table, verb))


def remove(tables: list[str], connection) -> None:
    """Let the tables be changed again, as a migration of them may need."""
    with connection.cursor() as cursor:
        for table in tables:
            for verb in verbs(connection):
                on = f" ON {table}" if connection.vendor == "postgresql" else ""
                cursor.execute(f"DROP TRIGGER IF EXISTS {table}_no_{verb}{on}")


def only_grows(*tables: str) -> migrations.RunPython:
    """Return the migration step that makes these tables append-only."""
    return migrations.RunPython(_step(install, list(tables)), _step(remove, list(tables)))


def may_change(*tables: str) -> migrations.RunPython:
    """Return the step that lifts the triggers, before a migration fills a new column."""
    return migrations.RunPython(_step(remove, list(tables)), _step(install, list(tables)))


def _step(change: Callable, tables: list[str]):
    return lambda apps, editor: change(tables, editor.connection)


def verbs(connection) -> tuple[str, ...]:
    """Name what the triggers of this database refuse; a trigger is named TABLE_no_VERB."""
    return "update", "delete", "truncate" if connection.vendor == "postgresql" else "replace"


def _trigger(connection, table, verb):
    if connection.vendor == "postgresql":
        each = "STATEMENT" if verb == "truncate" else "ROW"
        return POSTGRESQL_TRIGGER.format(table=table, verb=verb, each=each)
    refusal = REFUSAL.format(table=table)
    trigger = SQLITE_NO_REPLACE if verb == "replace" else SQLITE_TRIGGER
    return trigger.format(table=table, verb=verb, refusal=refusal)
