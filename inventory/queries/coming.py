"""What is to come among the plants, as events of a calendar."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta

from django.urls import reverse

from inventory.models import LotBalance
from nursery.calendars import Event
from nursery.templatetags.nursery_tags import plain

# A calendar keeps for a while what has passed.
KEPT = timedelta(days=60)


def ready_days(on: date) -> Iterable[Event]:
    """Tell from which days lots are ready to sell, all of one plant and size in one event."""
    rows = (
        LotBalance.objects.filter(on_hand__gt=0, lot__ready_on__gte=on - KEPT)
        .order_by("lot")
        .values_list(
            *("lot__ready_on", "lot__plant__name", "lot__container__code"),
            *("lot", "lot__code", "on_hand", "place__name"),
        )
    )
    together = defaultdict(list)
    for day, plant, container, *lot in rows:
        together[day, plant, container].append(lot)
    for (day, plant, container), lots in together.items():
        first = lots[0][0]
        plants = sum(on_hand for _, _, on_hand, _ in lots)
        yield Event(
            # Named by its first lot, it stays the same event when its day changes.
            key=f"ready-{first}",
            title=f"Ready: {plain(plants)} {plant}, {container}",
            first=day,
            last=day,
            description="\n".join(_stands(*lot[1:]) for lot in lots),
            path=reverse("inventory:lot", args=[first]),
            categories=("Ready",),
        )


def _stands(code, on_hand, place):
    return f"{plain(on_hand)} in lot {code}, {place or 'no place given'}"
