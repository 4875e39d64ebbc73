"""What was entered, newest first, each in one sentence and with its Undo."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Count as CountRows
from django.db.models import QuerySet, Sum
from django.urls import reverse

from inventory.models import CostEntry, Count, Measurement, Movement, Operation, Placement
from inventory.papers import Paper, papers_of
from inventory.queries.bills import bills_of
from inventory.queries.wording import Lines, describe_lines

PAPER_KINDS = (Operation.Kind.SALE, Operation.Kind.RETURN)
TOUCHED = {
    Movement: ("from_lot__plant", "to_lot__plant", "to_lot__container", "batch", "cause"),
    CostEntry: ("lot",),
    Placement: ("lot", "place"),
    Count: ("lot",),
}
MEASURED = ("lot__plant",)


@dataclass(frozen=True)
class Entry:
    """One operation as a list shows it. `undo_url` is empty where Undo is not offered."""

    operation: Operation
    text: str
    url: str = ""
    undo_url: str = ""

    @property
    def can_undo(self) -> bool:
        return bool(self.undo_url)

    @property
    def is_undone(self) -> bool:
        return self.operation.is_undone


def latest_entries(
    number: int = 8, undo_urls: Mapping[int, str] | None = None, *, with_costs: bool = True
) -> list[Entry]:
    """Return what was entered last, newest first, the undoings left out.

    `undo_urls` overrules where an operation, given by its key, is undone. Entries that are
    money only are left out where costs are not to be seen.
    """
    left_out = [Operation.Kind.UNDO, *([] if with_costs else [Operation.Kind.COST])]
    latest = operations().exclude(kind__in=left_out)[:number]
    return entries_of(latest, undo_urls)


def operations() -> QuerySet:
    """Return every operation, newest entry first, with who entered it."""
    return Operation.objects.select_related("entered_by", "reversed_by").order_by("-pk")


def entries_of(
    found: Iterable[Operation], undo_urls: Mapping[int, str] | None = None
) -> list[Entry]:
    """Turn operations into entries, with as many queries for a hundred as for one."""
    found = list(found)
    lines = lines_of(found)
    bills = bills_of([row.pk for row in found if row.kind == Operation.Kind.COST])
    return [
        Entry(
            operation,
            describe_lines(lines[operation.pk]),
            _url(lines[operation.pk], bills.get(operation.pk)),
            (undo_urls or {}).get(operation.pk)
            or _undo_url(lines[operation.pk], bills.get(operation.pk)),
        )
        for operation in found
    ]


def describe(operation: Operation) -> str:
    """Return in one sentence what an operation did."""
    return describe_lines(lines_of([operation])[operation.pk])


def lines_of(found: Iterable[Operation]) -> dict[int, Lines]:
    """Return {operation: all its lines}, those of what an undoing undid among them."""
    found = {operation.pk: operation for operation in found}
    undone = Operation.objects.filter(
        pk__in=[row.reverses_id for row in found.values() if row.reverses_id]
    )
    every = found | {operation.pk: operation for operation in undone}
    sums = _sums_of_many(every.values())
    told = every.keys() - sums.keys()
    rows = {model: _rows_by_operation(model, told, related) for model, related in TOUCHED.items()}
    # Only what was measured tells of sizes; plants that take theirs along need no word.
    measuring = [pk for pk, row in every.items() if row.kind == Operation.Kind.MEASURE]
    sizes = _rows_by_operation(Measurement, measuring, MEASURED) if measuring else {}
    papers = papers_of(pk for pk, row in every.items() if row.kind in PAPER_KINDS)

    def lines(operation):
        reverses = every.get(operation.reverses_id)
        return Lines(
            operation,
            *(rows[model][operation.pk] for model in TOUCHED),
            sizes.get(operation.pk, ()),
            papers.get(operation.pk),
            lines(reverses) if reverses else None,
            summed=sums.get(operation.pk),
        )

    return {pk: lines(operation) for pk, operation in found.items()}


def _sums_of_many(found) -> dict[int, tuple[int, int]]:
    """Return {operation: plants and lots} of those that began, or undid, many lots at once."""
    opening = [row.pk for row in found if row.kind == Operation.Kind.OPENING or row.reverses_id]
    begun = Movement.objects.filter(kind=Movement.Kind.BEGUN, operation__in=opening)
    sums = begun.values("operation").annotate(plants=Sum("quantity"), lots=CountRows("pk"))
    many = sums.filter(lots__gt=1).order_by()
    return {row["operation"]: (row["plants"], row["lots"]) for row in many}


def _rows_by_operation(model, keys, related):
    rows = defaultdict(list)
    for row in model.objects.filter(operation__in=keys).select_related(*related).order_by("pk"):
        rows[row.operation_id].append(row)
    return rows


def _url(lines: Lines, bill: int | None = None) -> str:
    """Return the page on which to see what an entry did."""
    if bill:
        return reverse("inventory:bill", args=[bill])
    if lines.paper:
        return lines.paper.url
    if lines.summed:
        return reverse("inventory:notebook-done", args=[_begun_by(lines.operation)])
    lots = {row.to_lot_id or row.from_lot_id for row in lines.movements}
    of_lots = (lines.costs, lines.placements, lines.counts, lines.measurements)
    lots |= {row.lot_id for rows in of_lots for row in rows}
    return reverse("inventory:lot", args=lots) if len(lots) == 1 else ""


def _begun_by(operation: Operation) -> int:
    return operation.reverses_id or operation.pk


def _undo_url(lines: Lines, bill: int | None = None) -> str:
    operation, paper = lines.operation, lines.paper
    if operation.is_undone or operation.kind == Operation.Kind.UNDO:
        return ""
    if bill:
        return reverse("inventory:bill-undo", args=[bill])
    if operation.kind in PAPER_KINDS:
        return _undo_url_of(paper)
    return reverse("inventory:undo", args=[operation.pk])


def _undo_url_of(paper: Paper | None) -> str:
    return paper.undo_url if paper else ""
