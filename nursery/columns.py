"""Name the columns of a model, for what is asked in SQL."""

from functools import cache

from django.db.models import Model


@cache
def columns_of(model: type[Model], table: str = "") -> str:
    """Return all columns of a model as a SELECT names them, of the table by that name."""
    way = f"{table}." if table else ""
    return ", ".join(f"{way}{field.column}" for field in model._meta.concrete_fields)
