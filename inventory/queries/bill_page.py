"""What the pages of a bill show: each lot's part, and what a choice does to a plant's cost."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import QuerySet

from inventory.models import Bill, CostEntry, Lot
from inventory.queries.bills import Sharing
from nursery.money import MILLION, from_millionths


@dataclass(frozen=True)
class PartRow:
    """What one lot would bear for a stretch of days, all of it and for one plant."""

    lot: Lot
    plants: int
    day: date
    amount: Decimal
    each: Fraction


@dataclass(frozen=True)
class Choice:
    """What a plant bears on average, and what is expensed, where the grower chooses so."""

    each: Fraction
    expensed: Fraction


@dataclass(frozen=True)
class Choices:
    """The two ways to treat the unused space of a bill shared by area."""

    unused_percent: Fraction
    borne: Choice
    expensed: Choice


def part_rows(sharing: Sharing) -> list[PartRow]:
    """Return each lot's parts, the largest first."""
    lots = Lot.objects.select_related("plant", "container").in_bulk(
        {part.lot for part in sharing.parts}
    )
    rows = [
        PartRow(
            lots[part.lot],
            part.plants,
            part.day,
            from_millionths(part.amount),
            Fraction(part.amount, MILLION * part.plants),
        )
        for part in sharing.parts
    ]
    return sorted(rows, key=lambda row: (-row.amount, row.lot.code))


def choices_of(sharing: Sharing) -> Choices | None:
    """Return what each choice does, or None where no space is known to be unused."""
    if not sharing.unused_weight or not sharing.plants:
        return None
    amount = Fraction(sharing.amount, MILLION)
    empty = Fraction(sharing.unused_weight, sharing.used_weight + sharing.unused_weight)
    return Choices(
        100 * empty,
        Choice(amount / sharing.plants, Fraction(0)),
        Choice(amount * (1 - empty) / sharing.plants, amount * empty),
    )


def entries_of_bill(bill: Bill) -> QuerySet:
    """Return the costs a bill was shared into, the largest first."""
    entries = CostEntry.objects.filter(operation__bill_share__bill=bill)
    return entries.select_related("lot__plant", "lot__container").order_by(
        "-amount", "lot__code", "date"
    )
