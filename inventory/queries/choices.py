"""What a form offers first: where plants were put last, which container comes next."""

from django.db.models import F, Sum

from inventory.models import (
    Container,
    Lot,
    LotBalance,
    Movement,
    Operation,
    Place,
    Placement,
    Plant,
)
from inventory.queries.on_hand import in_force

MOST_NAMES = 500


def last_place(kind: str) -> Place | None:
    """Return the place that an entry of that kind named last, else any entry."""
    placements = in_force(Placement.objects.select_related("place")).order_by("-pk")
    last = placements.filter(operation__kind=kind).first() or placements.first()
    return last.place if last else None


def next_container(container: Container) -> Container | None:
    """Return what plants went into from this container the last time, else the next size."""
    in_use = Container.objects.filter(in_use=True, kind=Container.Kind.SALE)
    potted = Movement.objects.filter(
        operation__kind=Operation.Kind.POT_UP, from_lot__container=container, to_lot__isnull=False
    )
    last = potted.order_by("-pk").values_list("to_lot__container", flat=True).first()
    larger = in_use.filter(position__gt=container.position)
    return in_use.filter(pk=last).first() or larger.first()


def another_place(lot: Lot) -> Place | None:
    """Return a place to move the lot to: the last one entered, unless it stands there."""
    here = lot.balance.place_id
    last = last_place(Operation.Kind.MOVE)
    return last if last and last.pk != here else Place.objects.exclude(pk=here).first()


def first_container(kind: str) -> Container | None:
    """Return the container that plants of a batch of that kind usually begin in."""
    wanted = Container.Kind.SALE if kind == "opening" else Container.Kind.PROPAGATION
    last = Lot.objects.filter(movements_in__batch__kind=kind, container__in_use=True)
    last = last.select_related("container").order_by("-pk").first()
    return last.container if last else Container.objects.filter(in_use=True, kind=wanted).first()


def usual_pot() -> Container | None:
    """Return the container for sale that most plants stand in now, else the first in use."""
    pots = Container.objects.filter(in_use=True, kind=Container.Kind.SALE)
    pots = pots.annotate(plants=Sum("lots__balance__on_hand"))
    return pots.order_by(F("plants").desc(nulls_last=True), "position").first()


def plant_names() -> list[str]:
    """Return the plants a person may choose from while typing a name."""
    return list(Plant.objects.values_list("name", flat=True)[:MOST_NAMES])


def lots_like(lot: Lot, *, same_container: bool) -> list[LotBalance]:
    """Return the other lots of the same plant that hold plants, with lot and container."""
    balances = LotBalance.objects.select_related("lot__container", "place").filter(
        lot__plant=lot.plant_id, on_hand__gt=0
    )
    if same_container:
        balances = balances.filter(lot__container=lot.container_id)
    return list(balances.exclude(lot=lot).order_by("lot__code"))
