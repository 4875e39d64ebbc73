"""Lots, batches and plants as the lists show and order them, without a query per row."""

from django.db.models import Count as Number
from django.db.models import Exists, ExpressionWrapper, F, OuterRef, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from inventory.costing.categories import CATEGORIES
from inventory.models import Batch, Count, ExpectedLoss, Lot, LotBalance, Movement, Operation, Plant
from inventory.queries.on_hand import in_force
from nursery.fields import MoneyField

Stage = ExpectedLoss.Stage
UNROOTED = (Batch.Kind.STICK, Batch.Kind.SOW, Batch.Kind.DIVIDE)
Counted = tuple[str, ...]


def _cost(counted):
    first, *others = (F(f"balance__cost_{category}") for category in counted)
    return sum(others, first)


def listed_lots(counted: Counted = CATEGORIES) -> QuerySet:
    """Return every lot with `on_hand` and `cost`, of the categories counted, by code."""
    return (
        Lot.objects.select_related("plant", "container", "balance__place", "balance__measurement")
        .annotate(
            on_hand=F("balance__on_hand"),
            cost=ExpressionWrapper(_cost(counted), output_field=MoneyField()),
        )
        .order_by("code")
    )


def summed(lots: QuerySet, counted: Counted = CATEGORIES) -> dict:
    """Return how many of the listed lots hold plants, the plants, and their cost."""
    return lots.order_by().aggregate(
        lots=Number("pk", filter=Q(balance__on_hand__gt=0)),
        plants=Coalesce(Sum("balance__on_hand"), 0),
        money=Sum(_cost(counted), output_field=MoneyField()),
    )


def in_stage(lots: QuerySet, stage: str) -> QuerySet:
    """Return the lots that are rooting, rooted in the tray, or growing for sale."""
    if stage == Stage.GROWING:
        return lots.filter(container__kind="sale")
    trays = lots.filter(container__kind="propagation")
    return trays.filter(is_rooting()) if stage == Stage.ROOTING else trays.exclude(is_rooting())


def is_rooting():
    """Return the condition that a tray began unrooted and was not counted since."""
    begun = Movement.objects.filter(
        to_lot=OuterRef("pk"), batch__kind__in=UNROOTED, carried__isnull=False
    )
    counted = Count.objects.filter(lot=OuterRef("pk"), operation__kind=Operation.Kind.ROOT_COUNT)
    return Exists(begun) & ~Exists(in_force(counted))


def by_container(plant: Plant | None = None) -> list[dict]:
    """Return the containers that hold plants, of one kind or all: plants, lots, and how
    many of the plants are still rooting."""
    lots = Lot.objects.filter(balance__on_hand__gt=0)
    if plant:
        lots = lots.filter(plant=plant)
    return list(
        lots.values("container", "container__code", "container__name", "container__kind")
        .annotate(
            plants=Sum("balance__on_hand"),
            lots=Number("pk"),
            rooting=Coalesce(Sum("balance__on_hand", filter=is_rooting()), 0),
        )
        .order_by("container__position", "container__code")
    )


def by_place() -> list[dict]:
    """Return place and plants and lots standing there, the fullest first."""
    return list(
        LotBalance.objects.filter(on_hand__gt=0)
        .values("place", "place__name")
        .annotate(plants=Sum("on_hand"), lots=Number("pk"))
        .order_by("-plants")
    )


def listed_batches() -> QuerySet:
    """Return every batch that is not undone with `begun`, newest first."""
    return (
        Batch.objects.select_related("plant", "stock_plant")
        .annotate(begun=Sum("movements__quantity", filter=Q(movements__carried__isnull=False)))
        .filter(begun__gt=0)
        .order_by("-started_on", "code")
    )


def listed_plants() -> QuerySet:
    """Return every plant with `on_hand` and `for_sale`, by name."""
    return Plant.objects.annotate(
        on_hand=Coalesce(Sum("lots__balance__on_hand"), 0),
        for_sale=Coalesce(Sum("lots__balance__on_hand", filter=Q(lots__container__kind="sale")), 0),
        standing=Number("lots", filter=Q(lots__balance__on_hand__gt=0)),
    ).order_by("search_key")
