"""The tables of a ledger and their columns, as both kinds of database hold them."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from graphlib import TopologicalSorter
from operator import attrgetter

from django.apps import apps
from django.db import models

# Who is logged in and who knocked in vain belongs to a house and does not move.
LEFT_OUT = {"sessions", "axes"}
LEFT_OUT_MODELS = {"nursery.Login"}

# A row is moved as SQLite keeps it: whole numbers, text, bytes. PostgreSQL is asked for the same
# by these expressions, and reads that text as its own types.
OF_POSTGRESQL = {
    "UUIDField": "replace({}::text, '-', '')",
    "DateTimeField": (
        "replace(to_char({} AT TIME ZONE 'UTC', 'YYYY-MM-DD HH24:MI:SS.US'), '.000000', '')"
    ),
    "DateField": "to_char({}, 'YYYY-MM-DD')",
    "BooleanField": "{}::int",
    "DecimalField": "{}::text",
    "JSONField": "{}::text",
    "GenericIPAddressField": "host({})",
}
AS_IT_IS = {
    *("AutoField", "BigAutoField", "BigIntegerField", "IntegerField", "SmallIntegerField"),
    *("PositiveBigIntegerField", "PositiveIntegerField", "PositiveSmallIntegerField"),
    *("CharField", "TextField", "SlugField", "BinaryField"),
}


@dataclass(frozen=True)
class Column:
    """One column: its name, what it holds by Django's name, and its field."""

    name: str
    kind: str
    field: models.Field

    @classmethod
    def of(cls, field: models.Field) -> "Column":
        """Return the column of a field; a key to another table holds what that one's key does."""
        while field.remote_field:
            target = field.target_field
            return cls(field.column, cls.of(target).kind, field)
        kind = field.get_internal_type()
        if kind not in AS_IT_IS and kind not in OF_POSTGRESQL:
            raise NotImplementedError(f"{field}: say in nursery/homes how a {kind} is moved")
        return cls(field.column, kind, field)

    def asked_of(self, vendor: str) -> str:
        """Return the SQL that asks for the column as SQLite keeps it."""
        if vendor == "postgresql":
            return OF_POSTGRESQL.get(self.kind, "{}").format(f'"{self.name}"')
        # The plus keeps Python's driver from turning the value into something by its type.
        return f'+"{self.name}"'

    def compared(self) -> Callable | None:
        """Return what makes equal values look equal where the databases write them otherwise."""
        if self.kind == "JSONField":
            return _sorted_json
        if self.kind == "DecimalField":
            places = self.field.decimal_places
            return lambda value: f"{Decimal(str(value)):.{places}f}"
        return None


@dataclass(frozen=True)
class Table:
    """One table with its columns, in the order both ends are asked for them."""

    name: str
    columns: tuple[Column, ...]
    key: Column

    @classmethod
    def of(cls, model: type[models.Model]) -> "Table":
        """Return the table of a model."""
        columns = tuple(Column.of(field) for field in model._meta.local_concrete_fields)
        return cls(model._meta.db_table, columns, Column.of(model._meta.pk))

    @property
    def numbers_itself(self) -> bool:
        """Say whether the database gives its rows their numbers."""
        return self.key.kind in ("AutoField", "BigAutoField") and not self.key.field.remote_field

    def select(self, vendor: str) -> str:
        """Return the question for all rows in the order of their keys."""
        asked = ", ".join(column.asked_of(vendor) for column in self.columns)
        return f'SELECT {asked} FROM "{self.name}" ORDER BY "{self.key.name}"'


def tables() -> list[Table]:
    """List the tables that move, each after those that its rows name."""
    found = apps.get_models(include_auto_created=True)
    moved = [
        model
        for model in found
        if model._meta.app_label not in LEFT_OUT and model._meta.label not in LEFT_OUT_MODELS
    ]
    before = {
        model: {
            field.remote_field.model
            for field in model._meta.local_concrete_fields
            if field.remote_field and field.remote_field.model is not model
        }
        for model in sorted(moved, key=attrgetter("_meta.label"))
    }
    return [
        Table.of(model)
        for model in TopologicalSorter(before).static_order()
        if model._meta.managed and not model._meta.proxy
    ]


def _number(text: str) -> str:
    return f"#{Decimal(text).normalize()}"


def _sorted_json(text: str) -> str:
    """Write JSON so that two texts of one value are equal: PostgreSQL sorts names as it likes."""
    value = json.loads(text, parse_int=_number, parse_float=_number)
    return json.dumps(value, sort_keys=True)
