"""Print rows of plain values as a table, CSV or JSON."""

import csv
import io
import json
from datetime import date
from decimal import Decimal
from fractions import Fraction

from nursery.money import round_half_up

FORMATS = ("table", "csv", "json")


def printed(rows: list[dict], form: str) -> str:
    """Return rows as text in one of FORMATS; exact numbers show six decimal places."""
    return {"table": _table, "csv": _csv, "json": _json}[form](rows)


def _json(rows):
    return json.dumps([plain_values(row) for row in rows], ensure_ascii=False, indent=1)


def plain_values(value):
    """Return a value as JSON writes it: exact numbers as text, days by ISO 8601."""
    if isinstance(value, dict):
        return {key: plain_values(part) for key, part in value.items()}
    if isinstance(value, list):
        return [plain_values(part) for part in value]
    if isinstance(value, Decimal | Fraction):
        return str(round_half_up(value, 6))
    if isinstance(value, date):
        return value.isoformat()
    return value


def _text(value):
    if value is None:
        return ""
    if isinstance(value, list):
        return "; ".join(
            " ".join(str(plain_values(part)) for part in row.values()) for row in value
        )
    return str(plain_values(value))


def _csv(rows):
    out = io.StringIO()
    if rows:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(rows[0])
        writer.writerows([_text(value) for value in row.values()] for row in rows)
    return out.getvalue().rstrip("\n")


def _table(rows):
    if not rows:
        return "Nothing to show."
    lines = [list(rows[0]), *([_text(value) for value in row.values()] for row in rows)]
    widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
    numeric = [isinstance(value, int | Decimal | Fraction) for value in rows[0].values()]
    return "\n".join(
        "  ".join(
            cell.rjust(width) if right else cell.ljust(width)
            for cell, width, right in zip(line, widths, numeric, strict=True)
        ).rstrip()
        for line in lines
    )
