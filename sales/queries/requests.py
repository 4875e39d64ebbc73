"""What buyers ask for on the web, and how to answer."""

from dataclasses import dataclass
from datetime import date, timedelta
from urllib.parse import quote, urlencode

from django.db.models import Exists, OuterRef, QuerySet, Sum
from django.urls import reverse

from inventory.models import Nursery
from sales.documents.words import say, speaking
from sales.models import Buyer, Hold, HoldLine, PlantRequest, PublicList, RequestedPlants
from sales.queries.room import Room, rooms_for


@dataclass(frozen=True)
class AskedLine:
    """Plants asked for, beside what could be promised of them now."""

    row: RequestedPlants
    room: Room | None

    @property
    def is_enough(self) -> bool:
        return bool(self.room and self.room.free >= self.row.quantity)


def listed_requests() -> QuerySet:
    """Return the requests with the number of plants each asks for, the newest first.

    Each is `is_held` while a hold made for it is not let go of.
    """
    held = HoldLine.objects.filter(hold__asked=OuterRef("pk"), quantity__gt=0)
    rows = PlantRequest.objects.annotate(plants=Sum("lines__quantity"), is_held=Exists(held))
    return rows.select_related("buyer")


def open_requests() -> QuerySet:
    """Return the requests that wait for an answer, the oldest first."""
    rows = listed_requests().filter(put_away_on=None, is_held=False)
    return rows.order_by("received_at", "pk")


def forgettable_requests(on: date) -> QuerySet:
    """Return the requests of strangers with which nothing happened for as long as they are kept.

    That is since the day it came, was put away, or plants were last to be held for it.
    """
    row = PublicList.objects.first() or PublicList()
    last = on - timedelta(days=row.request_days)
    held = Hold.objects.filter(asked=OuterRef("pk"), until__gte=last)
    rows = PlantRequest.objects.filter(buyer=None, received_at__date__lt=last)
    return rows.exclude(put_away_on__gte=last).exclude(Exists(held))


def holds_of(asked: PlantRequest) -> QuerySet:
    """Return the holds made for a request that are not let go of."""
    return Hold.objects.filter(asked=asked, lines__quantity__gt=0).distinct()


def lines_of(asked: PlantRequest, on: date) -> list[AskedLine]:
    """Return what a request asks for, with what is free of each."""
    rows = list(asked.lines.select_related("plant", "container"))
    kinds = [(row.plant_id, row.container_id) for row in rows]
    rooms = {(room.plant.pk, room.container.pk): room for room in rooms_for(kinds, on)}
    return [AskedLine(row, rooms.get(kind)) for row, kind in zip(rows, kinds, strict=True)]


def buyer_of(asked: PlantRequest) -> Buyer | None:
    """Return who asked: by their link, else the one buyer with that e-mail or phone."""
    if asked.buyer:
        return asked.buyer.kept
    ways = {"email__iexact": asked.email, "phone": asked.phone}
    for way, value in ways.items():
        found = list(Buyer.objects.kept().filter(**{way: value})[:2]) if value else []
        if len(found) == 1:
            return found[0]
    return None


def hold_url(lines: list[AskedLine], asked: PlantRequest, buyer: Buyer | None) -> str:
    """Return the address of a hold with all that was asked for filled in."""
    numbers: dict[str, int] = {}
    state = {"asked": asked.pk}
    for line in lines:
        key = f"{line.row.plant_id}-{line.row.container_id}"
        numbers[f"n-{key}"] = numbers.get(f"n-{key}", 0) + line.row.quantity
        if line.row.grade:
            state[f"grade-{key}"] = line.row.grade
        if line.row.ready_on:
            state["ahead"] = "on"
    if buyer:
        state["buyer"] = buyer.pk
    return f"{reverse('sales:hold-add')}?{urlencode(state | numbers)}"


def answer_url(asked: PlantRequest, lines: list[AskedLine]) -> str:
    """Return the address that opens an answer in a mail program, to be read before it is sent."""
    nursery = Nursery.current()
    with speaking(asked.language or nursery.language, nursery.country):
        subject = say("Your request to {nursery}", nursery=nursery.name)
        each = [f"- {one.row.quantity} × {one.row.plant}, {one.row.container}" for one in lines]
        body = "\n".join([f"{asked.name},", "", say("Thank you for your request:"), *each, "", ""])
    words = urlencode({"subject": subject, "body": f"{body}{nursery.name}"}, quote_via=quote)
    return f"mailto:{quote(asked.email)}?{words}"
