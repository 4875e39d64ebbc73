"""Everything the ledger holds on a buyer, to be handed over."""

import json
from collections.abc import Iterator
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import Model

from nursery.kept_files import NAME, kept_file
from sales.models import Buyer

# What opens something is no fact to hand over, and what is the nursery's own inside.
LEFT_OUT = {"request_id", "merge_request_id", "token", "origin", "search_key"}


def facts_of(buyer: Buyer) -> dict[str, list[dict]]:
    """Return each row on a buyer by its table: every row that names them, and its parts.

    The tables are found by their keys, so that one added later is in it by itself.
    """
    found: dict[str, dict[int, dict]] = {}
    waiting: list[Model] = [*buyer.entries]
    while waiting:
        row = waiting.pop()
        rows = found.setdefault(row._meta.verbose_name, {})
        if row.pk not in rows:
            rows[row.pk] = _told(row)
            waiting.extend(_naming(row))
    return {name: [rows[key] for key in sorted(rows)] for name, rows in sorted(found.items())}


def packed(buyer: Buyer) -> bytes:
    """Return those facts as JSON in a ZIP, with the files that belong to them."""
    facts = facts_of(buyer)
    archive = BytesIO()
    with ZipFile(archive, "w", ZIP_DEFLATED) as pack:
        text = json.dumps(facts, indent=1, cls=DjangoJSONEncoder, ensure_ascii=False)
        pack.writestr("facts.json", text)
        for name in sorted(_files_in(facts)):
            if (path := kept_file(name)).exists():
                pack.writestr(f"files/{name}", path.read_bytes())
    return archive.getvalue()


def _naming(row: Model) -> Iterator[Model]:
    """Yield the rows of selling that name a row."""
    for relation in row._meta.related_objects:
        model = relation.related_model
        if model._meta.app_label == "sales":
            yield from model.objects.filter(**{relation.field.name: row})


def _told(row: Model) -> dict:
    told = {}
    for field in row._meta.concrete_fields:
        value = getattr(row, field.attname)
        if field.name in LEFT_OUT or value in (None, ""):
            continue
        named = field.is_relation and field.related_model._meta.app_label == "inventory"
        told[field.name] = str(getattr(row, field.name)) if named else value
    return told


def _files_in(facts) -> set[str]:
    values = (value for rows in facts.values() for row in rows for value in row.values())
    return {value for value in values if isinstance(value, str) and NAME.fullmatch(value)}
