"""Find out which column of a table is what, by its heading and by what stands in it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from inventory.notebook.days import looks_like_since
from inventory.notebook.numbers import whole_number
from inventory.notebook.vocabulary import GENERA


@dataclass(frozen=True)
class Field:
    """Something the ledger can take from a table: its name here, its words, what it is called."""

    name: str
    words: str
    called: str
    longest: int = 120


# The words stand in the order of trust; the first fields are asked for first.
FIELDS = (
    Field("plant", "Plant", "plant variety cultivar botanical species latin sorte pflanze plante"),
    Field("common_name", "Common name", "common english deutsch trivial", 80),
    Field(
        "quantity",
        "How many",
        "quantity many qty count number plants pcs pieces stock anzahl menge",
    ),
    Field("container", "Container", "container pot size topf taille"),
    Field("place", "Place", "place location where house bed bench ort standort lieu", 60),
    Field("lot", "Lot code", "lot code id batch nr charge", 24),
    Field(
        "since", "Since when, or age", "since age begun potted planted stuck date year seit alter"
    ),
    Field("cost_each", "Cost of one", "cost each unit kosten"),
    Field("cost_all", "Cost of all", "total cost value wert"),
    Field("ready", "Ready on", "ready sale saleable available"),
    Field("grade", "Grade", "grade quality class", 24),
    Field("price", "Price of one", "price sell retail preis prix"),
    Field("note", "Note", "note notes remark remarks comment comments", 500),
)
BY_NAME = {field.name: field for field in FIELDS}
SURE = 3
ROWS_LOOKED_AT = 12
VALUES_LOOKED_AT = 60


@lru_cache(50_000)
def words_of(text: str) -> tuple[str, ...]:
    """Return the words of a heading in small letters."""
    return tuple(re.findall(r"[^\W\d_]+", text.casefold()))


def guess_heading_row(rows: Sequence[Sequence[str]]) -> int:
    """Return which row, counted from 1, holds the headings; 0 where none seems to."""
    known = {word for field in FIELDS for word in field.called.split()}

    def headings(row):
        found = [cell for cell in row if known & set(words_of(cell)) and len(cell) <= 40]
        return len(found) if not any(whole_number(cell) for cell in row) else 0

    scores = [headings(row) for row in rows[:ROWS_LOOKED_AT]]
    best = max(scores, default=0)
    return scores.index(best) + 1 if best else 0


def guess_matching(rows: Sequence[Sequence[str]], heading_row: int) -> dict[str, str]:
    """Return {place of the column, as text: name of the field}, each field at most once."""
    width = max(map(len, rows), default=0)
    heads = rows[heading_row - 1] if heading_row else []
    below = rows[heading_row:][:VALUES_LOOKED_AT]
    scored = []
    for place in range(width):
        head = words_of(heads[place]) if place < len(heads) else []
        values = [row[place] for row in below if place < len(row) and row[place]]
        for field in FIELDS:
            score = _by_heading(field, head) + _by_values(field.name, values)
            scored.append((-score, place, FIELDS.index(field), field.name))
    matching = {}
    for score, place, _, name in sorted(scored):
        if -score >= SURE and str(place) not in matching and name not in matching.values():
            matching[str(place)] = name
    return matching


def _by_heading(field: Field, head: Sequence[str]) -> int:
    """Say how well a heading names a field; two words that name it are worth more than one."""
    called = field.called.split()
    score = sum(4 if called.index(word) < 4 else 3 for word in head if word in called)
    if field.name == "cost_each" and "cost" not in head:
        return 0
    if field.name == "cost_all" and not {"total", "all", "value", "wert"} & set(head):
        return 0
    if field.name == "quantity" and {"cost", "price", "value"} & set(head):
        return 0
    if field.name == "ready" and "ready" in head:
        score += 2
    return score


def _by_values(name: str, values: list[str]) -> int:
    """Say how well what stands in a column goes with a field."""
    if not values:
        return 0
    fits = VALUES.get(name)
    if fits is None:
        return 0
    share = sum(map(fits, values)) / len(values)
    return 3 if share > 0.6 else 1 if share > 0.3 else -1 if share < 0.05 else 0


def _is_plant(text: str) -> bool:
    words = words_of(text)
    return bool(words) and (words[0].capitalize() in GENERA or "'" in text)


def _is_container(text: str) -> bool:
    return bool(
        re.fullmatch(r"#\d{1,2}|tray|cell|flat|liner|SP\d|\d+(\.\d+)? ?(l|gal|ltr)", text, re.I)
    )


def _is_number(text: str) -> bool:
    return whole_number(text) is not None and not re.fullmatch(r"(19|20)\d\d", text)


VALUES = {
    "plant": _is_plant,
    "quantity": _is_number,
    "container": _is_container,
    "since": looks_like_since,
}
