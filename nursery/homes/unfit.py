"""Find what a SQLite ledger holds and PostgreSQL would not, before anything is written.

SQLite keeps whatever it is given; the length of a text and the size of a number are only words
to it. Our forms hold them, but a row written past them would stop a move half way.
"""

import json
from collections.abc import Iterator

from django.db.backends.base.base import BaseDatabaseWrapper

from nursery.homes.tables import Column, Table

WHOLE = {
    **dict.fromkeys(("PositiveSmallIntegerField", "SmallIntegerField"), 2**15),
    **dict.fromkeys(("AutoField", "IntegerField", "PositiveIntegerField"), 2**31),
    **dict.fromkeys(("BigAutoField", "BigIntegerField", "PositiveBigIntegerField"), 2**63),
}
TEXT = ("CharField", "SlugField", "TextField")
DAY = "{0} NOT GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]*' OR {0} < '0001' OR julianday({0})"
# A rule and how to say what is wrong; {0} is the column.
OTHERS = {
    "UUIDField": ("length({0}) <> 32 OR {0} GLOB '*[^0-9a-f]*'", "is no UUID"),
    "BooleanField": ("{0} NOT IN (0, 1)", "is neither yes nor no"),
    "DateField": (f"{DAY} IS NULL", "is no day"),
    "DateTimeField": (f"{DAY} IS NULL", "is no moment"),
}


def unfit(connection: BaseDatabaseWrapper, tables: list[Table]) -> Iterator[str]:
    """Yield in words each value that PostgreSQL would not take, by table, row and column."""
    for table in tables:
        broken = [(column, *rule) for column in table.columns for rule in _rules(column)]
        # Read once whether anything is wrong at all, as hardly ever it is.
        if _breaks(connection, table, [(column, rule) for column, rule, _words in broken]):
            for column, rule, words in broken:
                for key in _breaks(connection, table, [(column, rule)], all_of_them=True):
                    yield f"{table.name}, row {key}, {column.name}: {words}"
        for column in table.columns:
            if column.kind == "JSONField":
                yield from _unfit_json(connection, table, column)


def _rules(column: Column) -> Iterator[tuple[str, str]]:
    if column.kind in TEXT:
        yield "instr({0}, char(0)) > 0", "has a NUL character in it"
        if most := _most(column):
            yield f"length({{0}}) > {most}", f"is longer than {most} letters"
        yield "typeof({0}) <> 'text'", "is no text"
    if column.kind in WHOLE:
        end = WHOLE[column.kind]
        # The highest is written out: 2**63 itself would be read as a broken number.
        outside = f"{{0}} > {end - 1} OR {{0}} < {-end + 1}"
        yield f"typeof({{0}}) <> 'integer' OR {outside}", "is no whole number that has room there"
    if column.kind == "DecimalField":
        room = 10 ** (column.field.max_digits - column.field.decimal_places)
        yield (
            f"typeof({{0}}) NOT IN ('integer', 'real') OR abs({{0}}) >= {room}",
            f"is no number below {room}",
        )
    if column.kind in OTHERS:
        yield OTHERS[column.kind]


def _most(column: Column) -> int | None:
    field = column.field
    while field.remote_field:
        field = field.target_field
    return field.max_length if column.kind != "TextField" else None


def _breaks(connection, table, rules, *, all_of_them: bool = False) -> list:
    """Return the keys of rows that break any of the rules, one or all."""
    broken = " OR ".join(
        f'("{column.name}" IS NOT NULL AND ({rule.format(_plain(column))}))'
        for column, rule in rules
    )
    limit = "" if all_of_them else " LIMIT 1"
    with connection.cursor() as cursor:
        cursor.execute(f'SELECT "{table.key.name}" FROM "{table.name}" WHERE {broken}{limit}')
        return [key for (key,) in cursor.fetchall()]


def _plain(column: Column) -> str:
    return column.asked_of("sqlite")


def _unfit_json(connection, table, column) -> Iterator[str]:
    with connection.cursor() as cursor:
        cursor.execute(
            f'SELECT "{table.key.name}", +"{column.name}" FROM "{table.name}" '
            f'WHERE "{column.name}" IS NOT NULL '
            f"""AND (NOT json_valid("{column.name}") OR instr("{column.name}", '\\u0000') > 0 """
            f"""OR instr(lower("{column.name}"), '\\ud') > 0)"""
        )
        for key, text in cursor:
            if words := _wrong_with(text):
                yield f"{table.name}, row {key}, {column.name}: {words}"


def _wrong_with(text: str) -> str:
    """Say what is wrong with a JSON text; nothing where it is well."""
    try:
        value = json.loads(text)
    except ValueError:
        return "is no JSON"
    # Written with its letters as they are, every text in it can be looked at in one.
    letters = json.dumps(value, ensure_ascii=False)
    if "\\u0000" in letters.replace("\\\\", ""):
        return "has a NUL character in it"
    try:
        letters.encode()
    except UnicodeEncodeError:
        return "has half a character in it"
    return ""
