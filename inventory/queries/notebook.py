"""What the ledger knows that helps to read a notebook, and what came in from one."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Count, QuerySet, Sum

from inventory.age import SEASON_START
from inventory.models import Container, CostEntry, ImportDraft, Movement, Operation, Place, Plant
from inventory.notebook.days import Seasons
from inventory.notebook.fates import Known, Notebook
from inventory.notebook.pots import Pots
from inventory.queries.codes_in_use import lot_codes_in_use
from inventory.queries.lots import season_end_of
from nursery.context import current_nursery


def notebook_of(draft: ImportDraft) -> Notebook:
    """Read a draft by what the ledger knows now."""
    return Notebook(
        draft.rows,
        heading_row=draft.heading_row,
        matching=draft.matching,
        answers=draft.answers,
        mended=draft.mended,
        known=known_to_the_ledger(draft),
    )


def known_to_the_ledger(draft: ImportDraft) -> Known:
    """Return the plants, places, containers, codes and seasons there are."""
    nursery = current_nursery()
    containers = {row.code: row for row in Container.objects.all()}
    plants = list(Plant.objects.values_list("search_key", "name", "common_name"))
    ranges = tuple((c.code, c.cubic_inches_min, c.cubic_inches_max) for c in containers.values())
    start = (nursery.season_start_month, SEASON_START[1])
    return Known(
        plants={key: name for key, name, _ in plants},
        common={common.casefold(): name for _, name, common in plants if common},
        places={name.casefold(): name for name in Place.objects.values_list("name", flat=True)},
        containers=containers,
        pots=Pots({code: row.name for code, row in containers.items()}, ranges),
        lots=frozenset(lot_codes_in_use() if _names_lots(draft) else ()),
        seasons=Seasons(draft.counted_on, start, season_end_of(nursery)),
        currency=nursery.currency,
    )


def _names_lots(draft):
    return "lot" in draft.matching.values() or any("lot" in row for row in draft.mended.values())


@dataclass(frozen=True)
class CameIn:
    """What one entry of opening stock brought in."""

    plants: int
    lots: int
    kinds: int
    cost: Decimal
    by_container: QuerySet
    by_place: QuerySet


def came_in(operation: Operation) -> CameIn:
    """Sum up what an entry of opening stock brought in."""
    moved = Movement.objects.filter(operation=operation, to_lot__isnull=False)
    sums = moved.aggregate(
        plants=Sum("quantity"), lots=Count("pk"), kinds=Count("to_lot__plant", distinct=True)
    )
    costs = CostEntry.objects.filter(operation=operation).aggregate(cost=Sum("amount"))
    placed = moved.values("to_lot__placements__place__name").order_by()
    of_this = placed.filter(to_lot__placements__operation=operation)
    return CameIn(
        **sums,
        cost=costs["cost"] or Decimal(0),
        by_container=moved.values("to_lot__container__code")
        .annotate(plants=Sum("quantity"), lots=Count("pk"))
        .order_by("to_lot__container__position"),
        by_place=of_this.annotate(plants=Sum("quantity"), lots=Count("pk")).order_by(
            "to_lot__placements__place__name"
        ),
    )
