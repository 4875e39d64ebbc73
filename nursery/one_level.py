"""Database triggers that keep a row's naming of another one level deep. Used by migrations.

Where a column says of which other row of its table a row is a double, no row that is named
may name one itself.
"""

from django.db import migrations

REFUSAL = "A row of {table} that others name in {column} names none itself."
BROKEN = """
NEW.{column} IS NOT NULL AND (
    EXISTS (SELECT 1 FROM {table} named WHERE named.id = NEW.{column}
        AND named.{column} IS NOT NULL)
    OR EXISTS (SELECT 1 FROM {table} naming WHERE naming.{column} = NEW.id))
"""
SQLITE = """
CREATE TRIGGER IF NOT EXISTS {table}_one_level_{verb} BEFORE {verb} ON {table}
WHEN {broken}
BEGIN SELECT RAISE(ABORT, '{refusal}'); END;
"""
POSTGRESQL_FUNCTION = """
CREATE OR REPLACE FUNCTION {table}_one_level() RETURNS trigger AS $$
BEGIN
    IF {broken} THEN RAISE EXCEPTION '{refusal}'; END IF;
    RETURN NEW;
END
$$ LANGUAGE plpgsql;
"""
POSTGRESQL = """
CREATE OR REPLACE TRIGGER {table}_one_level BEFORE INSERT OR UPDATE ON {table}
FOR EACH ROW EXECUTE FUNCTION {table}_one_level();
"""


def one_level(table: str, column: str) -> migrations.RunPython:
    """Return the migration step that keeps a column of a table one level deep.

    SQLite drops a table's triggers when a later migration changes the table: repeat it there.
    """
    words = {"table": table, "column": column}
    words |= {"refusal": REFUSAL.format(**words), "broken": BROKEN.format(**words)}

    def install(apps, editor):
        with editor.connection.cursor() as cursor:
            if editor.connection.vendor == "postgresql":
                cursor.execute(POSTGRESQL_FUNCTION.format(**words))
                cursor.execute(POSTGRESQL.format(**words))
            else:
                for verb in ("insert", "update"):
                    cursor.execute(SQLITE.format(verb=verb, **words))

    def remove(apps, editor):
        with editor.connection.cursor() as cursor:
            if editor.connection.vendor == "postgresql":
                cursor.execute(f"DROP FUNCTION IF EXISTS {table}_one_level CASCADE")
            else:
                for verb in ("insert", "update"):
                    cursor.execute(f"DROP TRIGGER IF EXISTS {table}_one_level_{verb}")

    return migrations.RunPython(install, remove)
