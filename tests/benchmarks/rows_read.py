"""How many rows of the growing tables PostgreSQL reads to answer, as it says afterwards."""

import json
from collections import Counter
from collections.abc import Callable, Iterator
from math import inf

from django.db import connection

from tests.benchmarks.plans import FEW_ROWS, GROWING, asked

# Who reads this part of a table or more reads it whole, as far as growth goes.
PART = 0.1


def read_whole(act: Callable) -> list[str]:
    """Do something, and return each statement that read a growing table, with what it read."""
    long = {table: rows for table, rows in _lengths().items() if table not in FEW_ROWS}
    return [
        f"{read[table]:,.0f} of {rows:,.0f} rows of {table}: {sql}"
        for sql, parameters in asked(act)
        for read in [_rows_read(sql, parameters)]
        for table, rows in long.items()
        if read[table] > PART * rows
    ]


def _lengths() -> dict[str, float]:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT relname, reltuples FROM pg_class WHERE relkind = 'r' AND relname = ANY(%s)",
            [[*GROWING]],
        )
        return dict(cursor.fetchall())


def _rows_read(sql, parameters) -> Counter:
    """Return {table: rows read}. What writes is not done again: there a scan is endless."""
    more = "ANALYZE, TIMING OFF, " if sql.lstrip().startswith(("SELECT", "WITH")) else ""
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN ({more}FORMAT JSON) {sql}", parameters)
        (found,) = cursor.fetchone()
    plan = json.loads(found) if isinstance(found, str) else found
    read: Counter = Counter()
    for table, rows in _scans(plan[0]["Plan"]):
        read[table] += rows
    return read


def _scans(node: dict) -> Iterator[tuple[str, float]]:
    """Yield each table that a plan reads, with how many of its rows were looked at."""
    if "Relation Name" in node:
        looked_at = ("Actual Rows", "Rows Removed by Filter", "Rows Removed by Index Recheck")
        rows = sum(node.get(name, 0) for name in looked_at) * node.get("Actual Loops", 0)
        is_endless = "Actual Loops" not in node and node["Node Type"] == "Seq Scan"
        yield node["Relation Name"], inf if is_endless else rows
    for inner in node.get("Plans", ()):
        yield from _scans(inner)
