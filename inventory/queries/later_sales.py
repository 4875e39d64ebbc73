"""The cost of sales that came later, to say which of them an entry changed."""

from collections.abc import Collection
from datetime import date

from inventory.models import LotBalance, Movement, Operation
from inventory.queries.ledger_rows import later_rows

KIND, CARRIED = 4, 10


def costs_of_later_sales(lots: Collection[int], since: date) -> dict[int, tuple[int, ...]]:
    """Return {sale movement: cost by category} of what those lots' plants sold for after a day.

    Nothing is read where nothing came later.
    """
    later = LotBalance.objects.filter(pk__in=lots, last_on__gt=since)
    keys = sorted(later.values_list("pk", flat=True))
    if not keys:
        return {}
    rows = later_rows(keys, since + date.resolution, 0)
    return {row[3]: tuple(row[CARRIED:]) for row in rows if row[KIND] == Movement.Kind.SOLD}


def how_many_changed(before: dict, after: dict) -> int:
    """Count the sales whose cost is no longer what it was."""
    return sum(1 for sale, cost in after.items() if sale in before and before[sale] != cost)


def lots_of(operation: Operation) -> set[int]:
    """Return the lots whose plants or costs an operation changed."""
    ends = operation.movements.values_list("from_lot", "to_lot")
    charged = set(operation.costs.values_list("lot", flat=True))
    return {lot for pair in ends for lot in pair if lot} | charged
