"""The journal: what documents, payments, costs, losses and purchases mean for the books.

What was undone is left out, and so is its undoing: both bear the same day.
"""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from django.db.models import F, Q, Sum

from inventory.costing.categories import OWN_TIME
from inventory.models import (
    BillShare,
    Carried,
    CostEntry,
    Movement,
    Operation,
    PaidAhead,
    SupplyEntry,
    WorkEntry,
)
from inventory.models.kept import COST_FIELDS
from inventory.queries.borne_by_none import expensed_bills
from inventory.queries.on_hand import in_force
from nursery.fields import MoneyField
from sales.journal import Entry
from sales.models import BoxEntry, Document, Payment, Take
from sales.queries.stand_day import box_in_force

Kind = Movement.Kind
OUTLETS = {
    Kind.SOLD: "cost_of_sales",
    Kind.RETURNED: "cost_of_sales",
    Kind.LOST: "losses",
    Kind.LOST_ABNORMAL: "losses",
    Kind.USED: "used",
    Kind.GIVEN: "used",
}
MOST_LOTS = 3
Method = Payment.Method
BoxKind = BoxEntry.Kind
# Which account a payment's amount goes to.
PAID_TO = {
    Method.CASH: "cash",
    Method.CARD: "bank",
    Method.CHEQUE: "bank",
    Method.TRANSFER: "bank",
    Method.ACCOUNT: "deposits",
    Method.ROUNDING: "rounding",
    Method.DISCOUNT: "discounts",
    Method.ALLOWANCE: "let_go",
}
# What the other side of a box's entry is.
BOX_TO = {
    BoxKind.OVER_SHORT: "over_short",
    BoxKind.NOT_PAID: "not_paid",
    BoxKind.BANK: "bank",
    BoxKind.PAID_OUT: "paid_out",
}


def journal(*, since: date | None = None, on: date | None = None) -> list[Entry]:
    """Return the entries from `since` to the day `on`, both included, by date."""
    found = [
        *_documents(since, on),
        *_operations(since, on),
        *_supplies(since, on),
        *_paid_ahead(since, on),
        *_unused_space(since, on),
        *_payments(since, on),
        *_boxes(since, on),
    ]
    return sorted((entry for entry in found if entry.pairs), key=lambda entry: entry.date)


def _within(since, on, name="date"):
    days = Q()
    if since:
        days &= Q(**{f"{name}__gte": since})
    if on:
        days &= Q(**{f"{name}__lte": on})
    return days


def _documents(since, on) -> Iterator[Entry]:
    rows = Document.objects.standing().filter(_within(since, on)).order_by("date", "pk")
    for row in rows:
        party = row.buyer_name or "a walk-in"
        if row.is_credit:
            entry = Entry(f"D{row.pk}", row.date, f"Credited to {party}", row.number)
            entry.post("returns", "receivable", row.net)
            entry.post("tax", "receivable", row.tax)
        else:
            entry = Entry(f"D{row.pk}", row.date, f"Sold to {party}", row.number)
            entry.post("receivable", "sales", row.net)
            entry.post("receivable", "tax", row.tax)
        yield entry


def _payments(since, on) -> Iterator[Entry]:
    rows = Payment.objects.in_force().filter(_within(since, on))
    # What goes between an account and a document is posted once, where it arrives.
    rows = rows.exclude(method=Payment.Method.ACCOUNT, document=None)
    for row in rows.select_related("document", "buyer").order_by("date", "pk"):
        number = row.document.number if row.document else ""
        entry = Entry(f"P{row.pk}", row.date, _payment_words(row), number)
        owed = "receivable" if row.document_id else "deposits"
        entry.post(PAID_TO[row.method], owed, row.amount)
        yield entry


def _boxes(since, on) -> Iterator[Entry]:
    """Yield what left or joined cash boxes beside sales; from box to box it is cash still."""
    rows = box_in_force().filter(_within(since, on), kind__in=BOX_TO)
    for row in rows.order_by("date", "pk"):
        entry = Entry(f"C{row.pk}", row.date, _with_note(_box_words(row), row.note))
        entry.post("cash", BOX_TO[row.kind], row.amount)
        yield entry


def _box_words(row):
    if row.kind == BoxKind.OVER_SHORT:
        return "Cash over" if row.amount > 0 else "Cash short"
    words = row.get_kind_display().capitalize()
    return f"{words}, taken back" if row.kind == BoxKind.PAID_OUT and row.amount > 0 else words


def _payment_words(row):
    way = row.get_method_display()
    if row.method == Payment.Method.ACCOUNT:
        words = f"Used from {way}" if row.amount > 0 else "Kept on account"
    elif row.method in Payment.MONEY:
        words = f"Received by {way}" if row.amount > 0 else f"Paid back by {way}"
    else:
        words = way.capitalize()
    if row.buyer_id:
        words += f", on account for {row.buyer}"
    return f"{words} ({row.note})" if row.note else words


def _supplies(since, on) -> Iterator[Entry]:
    kinds = SupplyEntry.Kind
    rows = SupplyEntry.objects.filter(
        _within(since, on), kind__in=(kinds.BOUGHT, kinds.COUNTED), reversed_by=None
    )
    for row in rows.select_related("supply").order_by("date", "pk"):
        is_bought = row.kind == kinds.BOUGHT
        words = f"{row.supply} bought" if is_bought else f"{row.supply} counted"
        if row.supplier:
            words += f" from {row.supplier}"
        entry = Entry(f"S{row.pk}", row.date, words)
        entry.post("supplies", "payable" if is_bought else "supplies_missing", row.amount)
        yield entry


def _paid_ahead(since, on) -> Iterator[Entry]:
    rows = PaidAhead.objects.filter(
        _within(since, on, "first_day"), reverses=None, reversed_by=None
    )
    for row in rows.order_by("first_day", "pk"):
        words = _with_note(f"Paid ahead to {row.last_day.isoformat()}", row.note)
        entry = Entry(f"A{row.pk}", row.first_day, words)
        entry.post("paid_ahead", f"from_{row.category}", row.amount)
        yield entry


def _unused_space(since, on) -> Iterator[Entry]:
    rows = expensed_bills().filter(_within(since, on, "last_day"))
    for row in rows.select_related("place").order_by("last_day", "pk"):
        words = _with_note(f"Space nobody used: {row.place or 'the nursery'}", row.note)
        entry = Entry(f"B{row.pk}", row.last_day, words)
        entry.post("unused_space", _source(row.category, row.paid_ahead_id), row.unused_amount)
        yield entry


def _source(category, paid_ahead):
    """Return the account that a cost comes from."""
    return "paid_ahead" if paid_ahead else f"from_{category}"


def _operations(since, on) -> Iterator[Entry]:
    pairs, lots = defaultdict(list), defaultdict(dict)
    _charge(pairs, lots, since, on)
    _leave(pairs, lots, since, on)
    papers = dict(
        Take.objects.filter(_within(since, on, "movement__date")).values_list(
            "movement__operation", "line__document__number"
        )
    )
    rows = Operation.objects.filter(_within(since, on)).order_by("date", "pk")
    for pk, kind, day, note in rows.values_list("pk", "kind", "date", "note"):
        if pk in pairs:
            words = _worded(Operation.Kind(kind).label, list(lots[pk]), note)
            entry = Entry(f"O{pk}", day, words, papers.get(pk, ""))
            for pair in pairs[pk]:
                entry.post(*pair)
            yield entry


def _charge(pairs, lots, since, on):
    """Post what was put into plants: out of supplies, by people's time, or as entered."""
    spent = _spent(since, on)
    ahead = _charged_ahead(since, on)
    rows = in_force(CostEntry.objects.filter(_within(since, on))).order_by("operation_id", "pk")
    for operation, kind, lot, category, amount, uncarried in rows.values_list(
        "operation_id", "operation__kind", "lot__code", "category", "amount", "uncarried"
    ):
        lots[operation][lot] = True
        debit = "stock" if uncarried is None else "uncarried"
        if kind == Operation.Kind.OPENING:
            pairs[operation].append((debit, "opening", amount))
            continue
        for source in ("supplies", "time"):
            part = min(spent[source][operation, category], max(amount, 0))
            spent[source][operation, category] -= part
            pairs[operation].append((debit, source, part))
            amount -= part
        pairs[operation].append((debit, _source(category, operation in ahead), amount))


def _charged_ahead(since, on):
    """Return the operations that charge what was paid ahead."""
    rows = BillShare.objects.filter(
        _within(since, on, "operation__date"), bill__paid_ahead__isnull=False
    )
    return set(rows.values_list("operation_id", flat=True))


def _spent(since, on):
    """Return {source: {(operation, category): amount}} of supplies and time used up."""
    spent = {"supplies": defaultdict(Decimal), "time": defaultdict(Decimal)}
    used = SupplyEntry.objects.filter(
        _within(since, on), kind=SupplyEntry.Kind.USED, reversed_by=None
    )
    for operation, category, amount in used.values_list(
        "operation_id", "supply__category", "amount"
    ):
        spent["supplies"][operation, category] -= amount
    work = in_force(WorkEntry.objects.filter(_within(since, on, "operation__date")))
    for operation, category, amount in work.values_list("operation_id", "category", "amount"):
        # Nobody is paid for the grower's own time: it has an account of its own.
        if category != OWN_TIME:
            spent["time"][operation, category] += amount
    return spent


def _leave(pairs, lots, since, on):
    """Post what left the stock with plants, or came back with them."""
    cost = sum((F(name) for name in COST_FIELDS[1:]), F(COST_FIELDS[0]))
    rows = Carried.objects.filter(_within(since, on, "movement__date"), movement__kind__in=OUTLETS)
    grouped = rows.order_by("movement__operation_id", "movement__kind").values_list(
        "movement__operation_id",
        "movement__kind",
        "movement__from_lot__code",
        "movement__to_lot__code",
    )
    for operation, kind, out, back, amount in grouped.annotate(
        cost=Sum(cost, output_field=MoneyField())
    ):
        lots[operation][out or back] = True
        sign = -1 if kind == Kind.RETURNED else 1
        pairs[operation].append((OUTLETS[kind], "stock", sign * amount))


def _worded(kind, lots, note):
    named = ", ".join(lots[:MOST_LOTS]) + (" and others" if len(lots) > MOST_LOTS else "")
    return _with_note(f"{kind.capitalize()}: {named}", note)


def _with_note(words, note):
    return f"{words} ({' '.join(note.split())})" if note else words
