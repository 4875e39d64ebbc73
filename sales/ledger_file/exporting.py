"""Export the ledger as a ledger file, from which an empty ledger becomes its equal.

Undone entries are left out. A loss is written with the treatment it was given,
so that it needs no expected loss to be read back.
"""

import csv
from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal
from heapq import merge
from operator import itemgetter
from typing import TextIO

from django.db.models import Prefetch, QuerySet
from django.db.models.functions import Coalesce

from inventory.models import (
    Batch,
    CostEntry,
    Count,
    Lot,
    Measurement,
    Movement,
    Operation,
    Person,
    Placement,
    Supply,
    SupplyEntry,
    Target,
    WorkEntry,
)
from sales.ledger_file.boxes import box_rows
from sales.ledger_file.facts import certificate_rows, fact_rows
from sales.ledger_file.holds import deposit_keys, grade_rows, hold_rows, line_keys, ready_rows
from sales.ledger_file.opened import before_cells, has_older_plants
from sales.ledger_file.prices import article_rows, price_rows
from sales.ledger_file.raising import batch_rows, bench_rows, spraying_rows, step_rows
from sales.ledger_file.rows import (
    COLUMNS,
    CONTACT_COLUMNS,
    GRADE_COLUMNS,
    HOLD_COLUMNS,
    SINCE_COLUMNS,
    SIZE_COLUMNS,
    SUPPLY_COLUMNS,
    UNTIL_COLUMNS,
    UNTOLD,
    WORK_COLUMNS,
)
from sales.ledger_file.shared_costs import shared_cost_rows
from sales.ledger_file.sizes import has_sizes, size_cell
from sales.ledger_file.supplies import supply_rows, use_row
from sales.ledger_file.taxes import tax_rows, treatment_of
from sales.ledger_file.terms import TermsWriter
from sales.ledger_file.work import person_rows, work_row
from sales.models import Certificate, Contact, HoldLine, Payment, Price

Kind = Movement.Kind
LOST = {Kind.LOST: "normal", Kind.LOST_ABNORMAL: "abnormal"}
COUNTED = (Operation.Kind.ROOT_COUNT, Operation.Kind.COUNT)
CHUNK = 500


def export_ledger(out: TextIO) -> int:
    """Write the whole ledger to `out` and return the number of rows."""
    writer = csv.DictWriter(out, _columns(), restval="", lineterminator="\n")
    writer.writeheader()
    number = 0
    for row in _rows_by_date():
        writer.writerow({name: _text(cell) for name, cell in row.items()})
        number += 1
    return number


def _columns() -> tuple[str, ...]:
    """Return the plain columns, and those more that something is to be written in."""
    held = HoldLine.objects.filter(quantity__gt=0)
    graded = (Price.objects.all(), held, Lot.objects.all())
    ending = Certificate.objects.filter(is_withdrawn=False).exclude(valid_until=None)
    wanted = Target.objects.filter(is_removed=False)
    asked_for = Contact.objects.filter(is_former=False).exists()
    more = (
        (SUPPLY_COLUMNS, Supply.objects.exists()),
        (WORK_COLUMNS, asked_for or Person.objects.exists()),
        (GRADE_COLUMNS, any(rows.exclude(grade="").exists() for rows in graded)),
        (HOLD_COLUMNS, held.exists()),
        (UNTIL_COLUMNS, held.exists() or ending.exists() or wanted.exists()),
        (CONTACT_COLUMNS, asked_for),
        (SINCE_COLUMNS, has_older_plants()),
        (SIZE_COLUMNS, has_sizes()),
    )
    return sum((columns for columns, are_used in more if are_used), COLUMNS)


def _rows_by_date() -> Iterator[dict]:
    """Yield rows by date; on one date first facts, rates and prices, and payments last."""
    sources = (
        fact_rows(),
        certificate_rows(),
        tax_rows(),
        price_rows(),
        article_rows(),
        supply_rows(),
        person_rows(),
        _entry_rows(),
        batch_rows(),
        step_rows(),
        bench_rows(),
        spraying_rows(),
        shared_cost_rows(),
        hold_rows(),
        ready_rows(),
        grade_rows(),
        _payment_rows(),
        box_rows(),
    )
    return merge(*sources, key=itemgetter("date"))


def _entry_rows() -> Iterator[dict]:
    on_hand: dict[int, int] = defaultdict(int)
    terms, keys = TermsWriter(), line_keys()
    for operation in _operations().iterator(chunk_size=CHUNK):
        if operation.kind == Operation.Kind.SALE and (row := _terms_row(operation, terms)):
            yield {"date": operation.date} | row
        for row in _operation_rows(operation, on_hand):
            key = {"hold": keys[row["hold"]]} if "hold" in row else {}
            yield {"date": operation.date, "note": operation.note} | row | key


def _terms_row(operation, terms):
    movements = operation.its_movements
    return movements and terms.row_before(movements[0].take.line.document)


def _operations() -> QuerySet:
    """Return what was entered, each with lists of `its_movements`, `its_costs` and so on.

    Without lists Django makes a manager and a query for each of them, even where nothing is
    found, which was half of the time an export took.
    """
    moved = (
        *("from_lot__plant", "to_lot__plant", "to_lot__container", "batch__plant", "cause"),
        *("take__line__document__buyer", "handed_over", "of__take__line__document"),
    )
    return (
        Operation.objects.filter(reverses=None, reversed_by=None)
        .order_by("date", "pk")
        .prefetch_related(
            _its("movements", Movement, *moved),
            _its("costs", CostEntry, "lot"),
            _its("placements", Placement, "lot", "place"),
            _its("counts", Count, "lot"),
            _its("measurements", Measurement, "lot"),
            _its("supplies", SupplyEntry, "supply"),
            _its("work", WorkEntry, "person"),
        )
    )


def _its(name, model, *with_them) -> Prefetch:
    rows = model.objects.order_by("pk").prefetch_related(*with_them)
    return Prefetch(name, rows, to_attr=f"its_{name}")


def _operation_rows(operation, on_hand) -> Iterator[dict]:
    """Yield the rows of one operation, keeping up what each lot holds."""
    movements = operation.its_movements
    places = {row.lot_id: row.place.name for row in operation.its_placements}
    costs = [
        {"lot": row.lot.code, "category": row.category, "amount": row.amount}
        for row in operation.its_costs
    ]
    rows = []
    if operation.kind == Operation.Kind.COST and costs:
        rows.append({"event": "cost", **costs.pop(0)})
    spent = _spent_rows(operation, costs)
    if operation.kind in COUNTED:
        rows += _count_rows(operation, movements, on_hand)
    elif operation.kind == Operation.Kind.RETURN:
        rows += _return_rows(movements)
    else:
        rows += [_movement_row(operation, row, places, costs, on_hand) for row in movements]
    if operation.kind == Operation.Kind.LOSS:
        rows += _alive_rows(operation, movements, on_hand)
    if operation.kind == Operation.Kind.MOVE and not movements:
        rows += [
            {"event": "move", "lot": row.lot.code, "place": row.place.name}
            for row in operation.its_placements
        ]
    yield from _with_sizes(operation, rows)
    yield from spent
    yield from ({"event": "cost", **cost} for cost in costs)
    for row in movements:
        on_hand[row.from_lot_id] -= row.quantity
        on_hand[row.to_lot_id] += row.quantity


def _with_sizes(operation, rows) -> Iterator[dict]:
    """Yield the rows, each with the size of the lot it fills, and lots measured alone."""
    sizes = {row.lot.code: size_cell(row) for row in operation.its_measurements}
    for row in rows:
        size = sizes.pop(row.get("to_lot"), None)
        yield row | ({"size": size} if size else {})
    for lot, size in sizes.items():
        yield {"event": "measure", "lot": lot, "size": size}


def _spent_rows(operation, costs) -> list[dict]:
    """Return the rows of what an operation took; each takes the cost it made off the list."""
    spent = [use_row(row) for row in operation.its_supplies]
    spent += [work_row(row) for row in operation.its_work]
    for row in spent:
        made = [
            cost for cost in costs if all(cost[key] == row[key] for key in ("category", "amount"))
        ]
        if made:
            costs.remove(made[0])
            row["lot"] = made[0]["lot"]
    return spent


def _movement_row(operation, row, places, costs, on_hand) -> dict:
    """Return the row of one movement; its lot's first cost, if any, rides along."""
    if row.kind in LOST:
        return _lost(row) | {"event": "loss", "quantity": row.quantity}
    if row.kind == Kind.SOLD:
        return _sold(row)
    cells = {"event": operation.kind, "quantity": row.quantity}
    if row.kind == Kind.BEGUN:
        batch = row.batch
        cells |= {"lot": row.to_lot.code, "batch": batch.code, "plant": batch.plant.name}
        cells |= {"container": row.to_lot.container.code, "treatment": batch.treatment}
        cells |= before_cells(row, on_hand)
    else:
        cells |= {"lot": row.from_lot.code}
    if row.kind == Kind.MOVED:
        cells |= {"to_lot": row.to_lot.code}
    if operation.kind == Operation.Kind.POT_UP:
        cells |= {"container": row.to_lot.container.code}
    if row.to_lot_id:
        cells |= {"place": places.get(row.to_lot_id, "")}
    if costs and operation.kind in (*Batch.Kind.values, Operation.Kind.POT_UP):
        first = next((cost for cost in costs if cost["lot"] == row.to_lot.code), None)
        if first:
            costs.remove(first)
            cells |= {"category": first["category"], "amount": first["amount"]}
    return cells


def _lost(row) -> dict:
    return {
        "lot": row.from_lot.code,
        "cause": row.cause.code,
        "treatment": LOST[row.kind],
    }


def _sold(row) -> dict:
    line = row.take.line
    buyer = line.document.buyer
    handed = getattr(row, "handed_over", None)
    return {
        "event": "sale",
        "lot": row.from_lot.code,
        "quantity": row.quantity,
        "buyer": buyer.name if buyer else "",
        "price": line.unit_price,
        "treatment": treatment_of(line),
        "document": line.document.number,
        "cause": "" if line.price_reason == UNTOLD else line.price_reason,
        **({"hold": handed.line_id} if handed else {}),
    }


def _count_rows(operation, movements, on_hand) -> Iterator[dict]:
    """Yield a count as one row for each kind of loss, or one where none was lost.

    Each says what the lot then held: a number that stays right where earlier
    losses were entered after the count.
    """
    for counted in operation.its_counts:
        row = {"event": operation.kind, "lot": counted.lot.code}
        held = on_hand[counted.lot_id]
        changes = [one for one in movements if counted.lot_id in (one.from_lot_id, one.to_lot_id)]
        for movement in changes:
            if movement.kind in LOST:
                held -= movement.quantity
                yield row | _lost(movement) | {"quantity": held}
            else:
                held += movement.quantity
                yield row | {"quantity": held}
        if not changes:
            yield row | {"quantity": held}


def _alive_rows(operation, movements, on_hand) -> Iterator[dict]:
    """Yield a count for each lot on a write-off sheet that had lost no plant."""
    short = {row.from_lot_id for row in movements}
    for counted in operation.its_counts:
        if counted.lot_id not in short:
            held = on_hand[counted.lot_id]
            yield {"event": "count", "lot": counted.lot.code, "quantity": held}


def _return_rows(movements) -> Iterator[dict]:
    discarded = {row.of_id: row for row in movements if row.kind in LOST}
    for row in movements:
        if row.kind == Kind.RETURNED:
            line = row.of.take.line
            lost = discarded.get(row.pk)
            yield {
                "event": "return",
                "lot": row.to_lot.code,
                "quantity": row.quantity,
                "price": line.unit_price,
                "document": line.document.number,
                "treatment": "discard" if lost else "restock",
                "cause": lost.cause.code if lost else "",
            }


def _payment_rows() -> Iterator[dict]:
    """Yield what was paid; money used from an account is one row, that of its document."""
    payments = Payment.objects.in_force()
    payments = payments.exclude(method=Payment.Method.ACCOUNT, document=None)
    # What was entered together stands together, whatever the order an import wrote it in.
    together = Coalesce("part_of", "pk")
    payments = payments.select_related("document", "buyer").order_by("date", together, "pk")
    holds = deposit_keys()
    for payment in payments.iterator(chunk_size=CHUNK):
        yield {
            "date": payment.date,
            "event": "payment",
            "buyer": payment.buyer.name if payment.buyer else "",
            "document": payment.document.number if payment.document else "",
            "amount": payment.amount,
            "treatment": payment.method,
            "note": payment.note,
            **({"hold": holds[payment.pk]} if payment.pk in holds else {}),
        }


def _text(cell):
    """Return a cell as text; amounts without needless zeros."""
    if isinstance(cell, Decimal):
        text = f"{cell:f}"
        whole, _, rest = text.rstrip("0").partition(".")
        return f"{whole}.{rest:0<2}" if "." in text else text
    return cell
