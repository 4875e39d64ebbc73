"""What came in and went out of one supply, and what it was bought for."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import QuerySet
from django.urls import reverse

from inventory.models import Supply, SupplyEntry, WorkEntry
from inventory.queries.entries import entries_of, operations
from nursery.money import round_half_up
from nursery.templatetags.nursery_tags import money, plain

UNDOABLE = (SupplyEntry.Kind.BOUGHT, SupplyEntry.Kind.COUNTED)


@dataclass(frozen=True)
class Bought:
    """One purchase in force: when, how much, for how much, from whom."""

    on: date
    quantity: Decimal
    amount: Decimal
    supplier: str

    @property
    def price(self) -> Fraction:
        return Fraction(self.amount) / Fraction(self.quantity)


@dataclass(frozen=True)
class Took:
    """What one operation used of a supply, or of a person's time."""

    words: str
    amount: Decimal
    url: str = ""


def measured(quantity: Decimal) -> str:
    """Write a quantity as one would weigh or measure it: 88.64, but 0.0125 in full."""
    return plain(quantity if abs(quantity) < 1 else round_half_up(quantity, 2))


def entries_of_supply(supply: Supply) -> QuerySet:
    """Return the entries of a supply, newest first."""
    return supply.entries.select_related(
        "supply", "operation", "reversed_by", "reverses", "entered_by"
    ).order_by("-date", "-pk")


def tell_what_used_them(entries: Iterable[SupplyEntry]) -> None:
    """Note on each entry in words what it was (`told`), and where that shows (`told_url`)."""
    entries = list(entries)
    keys = {entry.operation_id for entry in entries if entry.operation_id}
    found = {one.operation.pk: one for one in entries_of(operations().filter(pk__in=keys))}
    for entry in entries:
        done = found.get(entry.operation_id)
        entry.told = done.text if done else _told(entry)
        entry.told_url = done.url if done else ""


def can_undo(entry: SupplyEntry) -> bool:
    """Say whether an entry is a purchase or a count that stands."""
    return entry.kind in UNDOABLE and not is_undone(entry)


def is_undone(entry: SupplyEntry) -> bool:
    """Say whether a later entry took this one back."""
    return hasattr(entry, "reversed_by")


def purchases_of(supply: Supply) -> list[Bought]:
    """Return the purchases in force, first to last."""
    rows = supply.entries.filter(kind=SupplyEntry.Kind.BOUGHT, reversed_by=None)
    rows = rows.order_by("date", "pk").values_list("date", "quantity", "amount", "supplier")
    return [Bought(*row) for row in rows]


def what_operations_took(keys: Iterable[int]) -> dict[int, list[Took]]:
    """Return {operation: the supplies and the time it took}, in two questions."""
    keys = set(keys)
    found: dict[int, list[Took]] = {}
    used = SupplyEntry.objects.filter(operation__in=keys, kind=SupplyEntry.Kind.USED)
    for row in used.select_related("supply").order_by("pk"):
        words = f"{measured(-row.quantity)} {row.supply.get_unit_display()} {row.supply}"
        took = Took(words, -row.amount, reverse("inventory:supply-use", args=[row.pk]))
        found.setdefault(row.operation_id, []).append(took)
    work = WorkEntry.objects.filter(operation__in=keys).select_related("person").order_by("pk")
    for row in work:
        words = f"{measured(row.minutes)} minutes, {row.person}"
        took = Took(words, row.amount, reverse("inventory:person-list"))
        found.setdefault(row.operation_id, []).append(took)
    return found


def _told(entry):
    if entry.kind == SupplyEntry.Kind.BOUGHT:
        from_whom = f" from {entry.supplier}" if entry.supplier else ""
        return f"Bought {_much(entry.quantity, entry)}{from_whom} for {money(entry.amount)}"
    if entry.kind == SupplyEntry.Kind.COUNTED:
        if not entry.quantity:
            return "Counted: all there"
        less = "missing" if entry.quantity < 0 else "more found"
        return f"Counted: {_much(abs(entry.quantity), entry)} {less}"
    if entry.kind == SupplyEntry.Kind.UNDONE:
        return f"Undone: {_told(entry.reverses)}"
    return f"Used {_much(-entry.quantity, entry)}"


def _much(quantity, entry):
    return f"{measured(quantity)} {entry.supply.get_unit_display()}"
