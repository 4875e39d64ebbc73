"""What the ledger says needs doing among the plants."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count as Number
from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery

from inventory.models import (
    Batch,
    Count,
    Lot,
    LotBalance,
    Movement,
    Nursery,
    Operation,
    Place,
    Placement,
)
from inventory.queries.on_hand import in_force

# Common practice for woody cuttings: most have rooted or failed by then.
WEEKS_TO_ROOT = 10
# Common practice: longer bottom heat softens what has rooted.
WEEKS_OF_BOTTOM_HEAT = 3
UNROOTED = (Batch.Kind.STICK, Batch.Kind.SOW)


@dataclass(frozen=True)
class Walk:
    """A season's walk through the houses: what it is for, since when, what is left."""

    is_spring: bool
    since: date
    places: list[tuple[Place | None, int]]

    @property
    def lots(self) -> int:
        return sum(number for _, number in self.places)


def unrooted_trays() -> QuerySet:
    """Return the trays begun from cuttings or seed that have no rooted count in force."""
    return _trays().filter(_is_unrooted())


def _is_unrooted() -> Q:
    begun = in_force(Movement.objects.filter(to_lot=OuterRef("pk"), batch__kind__in=UNROOTED))
    counted = in_force(
        Count.objects.filter(lot=OuterRef("pk"), operation__kind=Operation.Kind.ROOT_COUNT)
    )
    return Q(Exists(begun)) & ~Q(Exists(counted))


def uncounted_cuttings(on: date) -> QuerySet:
    """Return the trays stuck or sown so long ago that their rooted count is due."""
    began_by = on - timedelta(weeks=WEEKS_TO_ROOT)
    return unrooted_trays().filter(began_on__lte=began_by).order_by("began_on", "code")


def over_heated(on: date) -> QuerySet:
    """Return the rooting trays that have stood in heat too long, as `heated_since`."""
    placed = in_force(Placement.objects.filter(lot=OuterRef("pk")))
    stood_since = placed.order_by("-date", "-operation_id", "-pk").values("date")[:1]
    return (
        unrooted_trays()
        .filter(balance__place__heated=True)
        .annotate(heated_since=Subquery(stood_since))
        .filter(heated_since__lte=on - timedelta(weeks=WEEKS_OF_BOTTOM_HEAT))
        .order_by("heated_since", "code")
    )


def rooted_trays() -> QuerySet:
    """Return the trays that hold rooted plants, waiting to be potted up."""
    return _trays().exclude(_is_unrooted()).order_by("began_on", "code")


def is_potting_season(on: date, nursery: Nursery) -> bool:
    """Say whether plants may go into larger pots now: from a month before the season."""
    months = (nursery.season_end_month - nursery.season_start_month) % 12 + 1
    return (on.month - nursery.season_start_month + 1) % 12 <= months


def walk_due(on: date, nursery: Nursery) -> Walk | None:
    """Return the walk this part of the year asks for, or None where it is done.

    The season's first three months look for winter losses; the three months after
    its end take stock before winter. A lot counts as seen once it was counted or
    written off in that time.
    """
    for is_spring, month in _walk_months(nursery):
        since = _last_first_of(month, on)
        if (on.year * 12 + on.month) - (since.year * 12 + since.month) < 3:
            places = _places_unseen(since)
            return Walk(is_spring, since, places) if places else None
    return None


def walk_days(on: date, nursery: Nursery) -> list[tuple[bool, date]]:
    """Return (is it in spring, first day) of the last walks and the next ones."""
    found = []
    for is_spring, month in _walk_months(nursery):
        last = _last_first_of(month, on)
        found += [(is_spring, last), (is_spring, last.replace(year=last.year + 1))]
    return found


def _walk_months(nursery):
    return (True, nursery.season_start_month), (False, nursery.season_end_month % 12 + 1)


def _places_unseen(since):
    """Return [(place, lots)] of the lots that stood there before and were not seen since."""
    # Asked lot by lot along the indexes, so that a long ledger is not read through.
    lot = OuterRef("pk")
    before = Movement.objects.filter(to_lot=lot, date__lt=since)
    counted = Count.objects.filter(lot=lot, date__gte=since)
    lost = Movement.objects.filter(
        from_lot=lot, date__gte=since, operation__kind=Operation.Kind.LOSS
    )
    rows = (
        LotBalance.objects.filter(Exists(in_force(before)), on_hand__gt=0)
        .exclude(Exists(in_force(counted)))
        .exclude(Exists(in_force(lost)))
        .values_list("place", "place__name")
        .annotate(lots=Number("pk"))
        .order_by("place__name")
    )
    return [(Place(pk=key, name=name) if key else None, number) for key, name, number in rows]


def _trays():
    return (
        Lot.objects.filter(container__kind="propagation", balance__on_hand__gt=0)
        .select_related("plant", "container", "balance__place")
        .annotate(on_hand=F("balance__on_hand"))
    )


def _last_first_of(month, on):
    return date(on.year if month <= on.month else on.year - 1, month, 1)
