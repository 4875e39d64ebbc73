"""What was closed when, what the stock was then, and whether it still is."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from inventory.costing.categories import CATEGORIES
from inventory.models import Closing, Lot
from inventory.queries.holdings import holdings
from nursery.money import from_millionths


def closings() -> list[Closing]:
    """Return every closing and reopening, the newest first, without the snapshots."""
    rows = Closing.objects.defer("snapshot").select_related("entered_by")
    return list(rows.order_by("-pk"))


def stock_at(on: date) -> list[dict]:
    """Return what each lot held at the end of that day, as plain text and numbers."""
    held = {lot: numbers for lot, numbers in holdings(on).items() if any(numbers)}
    lots = Lot.objects.filter(pk__in=held).select_related("plant", "container")
    return [
        {
            "lot": lot.code,
            "plant": lot.plant.name,
            "container": lot.container.code,
            "on_hand": held[lot.pk][0],
            "cost": {
                category: str(from_millionths(amount))
                for category, amount in zip(CATEGORIES, held[lot.pk][1:], strict=True)
                if amount
            },
        }
        for lot in lots.order_by("code")
    ]


def standing_closings() -> list[Closing]:
    """Return the closings whose days were not opened again since, the earliest first."""
    standing: list[Closing] = []
    for row in Closing.objects.order_by("pk"):
        if row.kind == Closing.Kind.CLOSE:
            standing.append(row)
        else:
            standing = [
                kept for kept in standing if row.closed_to and kept.closed_to <= row.closed_to
            ]
    return standing


def closing_differences() -> Iterator[str]:
    """Yield, in words, what changed in a closed period. None is right."""
    for closing in standing_closings():
        then = {row["lot"]: row for row in closing.snapshot}
        now = {row["lot"]: row for row in stock_at(closing.closed_to)}
        for lot in sorted(then.keys() | now.keys()):
            was, is_now = _figures(then.get(lot)), _figures(now.get(lot))
            if was != is_now:
                yield (
                    f"The books were closed up to {closing.closed_to.isoformat()} with lot {lot} "
                    f"at {_worded(was)}; that day's entries now give {_worded(is_now)}."
                )


def _figures(row):
    """Return plants and cost by category; names may be put right in a closed period."""
    if row is None:
        return 0, {}
    return row["on_hand"], {name: Decimal(amount) for name, amount in row["cost"].items()}


def _worded(figures):
    plants, costs = figures
    return f"{plants} plants costing {sum(costs.values(), Decimal(0))}"
