"""What a form offers first: where plants were put last, which container comes next."""

from inventory.models import Container, Lot, LotBalance, Place, Placement, Plant
from inventory.queries.on_hand import in_force

MOST_NAMES = 500


def last_place() -> Place | None:
    """Return the place that was entered last."""
    last = in_force(Placement.objects.all()).select_related("place").order_by("-pk").first()
    return last.place if last else None


def next_container(container: Container) -> Container | None:
    """Return the next container for sale that is in use, in the order of their sizes."""
    larger = Container.objects.filter(in_use=True, kind=Container.Kind.SALE)
    return larger.filter(position__gt=container.position).first()


def another_place(lot: Lot) -> Place | None:
    """Return a place to move the lot to: the last one entered, unless it stands there."""
    here = lot.balance.place_id
    last = last_place()
    return last if last and last.pk != here else Place.objects.exclude(pk=here).first()


def first_container(kind: str) -> Container | None:
    """Return the container that plants of a batch of that kind usually begin in."""
    wanted = Container.Kind.SALE if kind == "opening" else Container.Kind.PROPAGATION
    last = Lot.objects.filter(movements_in__batch__kind=kind, container__in_use=True)
    last = last.select_related("container").order_by("-pk").first()
    return last.container if last else Container.objects.filter(in_use=True, kind=wanted).first()


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
