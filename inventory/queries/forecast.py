"""How many of the plants that grow now will be ready to sell, month by month."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from inventory.models import Container, Plant
from inventory.planning.forecast import Ready, by_month, month_after
from inventory.queries.plans import Planner

MONTHS = 24


@dataclass(frozen=True)
class ForecastRow:
    """Plants of one kind that become ready in one container in one month."""

    month: date
    plant: Plant
    container: Container
    ready: Ready


def forecast(
    today: date, plant: Plant | None = None, container: Container | None = None
) -> list[ForecastRow]:
    """Return what becomes ready in the months to come, the first month and plant first.

    Plants promised to buyers are left out; what is ready already stands in this month.
    """
    found = by_month(Planner(today).coming(), MONTHS, today)
    plants = Plant.objects.in_bulk({key[0] for key, _ in found})
    containers = Container.objects.in_bulk({key[1] for key, _ in found})
    rows = [
        ForecastRow(month, plants[of], containers[pot], ready)
        for ((of, pot), month), ready in found.items()
        if plant in (None, plants[of]) and container in (None, containers[pot])
    ]
    rows.sort(key=lambda row: (row.month, row.plant.search_key, row.container.position))
    return rows


def sums_by_month(rows: Iterable[ForecastRow], today: date) -> list[tuple[date, Ready]]:
    """Return each month from today's on with what becomes ready in it, none where nothing."""
    sums: dict[date, Ready] = defaultdict(Ready)
    for row in rows:
        sums[row.month] += row.ready
    first = today.replace(day=1)
    months = (month_after(first, number) for number in range(MONTHS))
    return [(month, sums.get(month, Ready())) for month in months]
