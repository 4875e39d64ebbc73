"""Let the database look at rows that came in large numbers, so that it plans for as many."""

from django.apps import apps
from django.db import connection


def look_at_new_rows() -> None:
    """Have PostgreSQL count what stands in its tables; without that it plans as for a few.

    It does so by itself within minutes. Until then a report over a history just imported could
    take as long as the history squared. SQLite plans by its indexes and needs no word.
    """
    if connection.vendor == "postgresql":
        # By name: without names it takes the catalogues that all databases of a server share, and
        # holds them to the end of a long transaction.
        tables = {f'"{model._meta.db_table}"' for model in apps.get_models()}
        with connection.cursor() as cursor:
            cursor.execute(f"ANALYZE {', '.join(sorted(tables))}")
