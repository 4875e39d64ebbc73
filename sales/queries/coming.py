"""What is to come with buyers, as events of a calendar."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date

from django.db.models import F
from django.urls import reverse

from inventory.queries.coming import KEPT
from nursery.calendars import Event
from nursery.templatetags.nursery_tags import plain
from sales.models import HoldLine
from sales.public import PublicLine
from sales.public_news import named, words_of


def holds_end(on: date) -> Iterable[Event]:
    """Tell until which days plants are held, and for whom."""
    rows = (
        HoldLine.objects.filter(hold__until__gte=on - KEPT)
        .with_taken()
        .filter(quantity__gt=F("taken"))
        .values_list(
            *("hold", "hold__until", "hold__buyer__name"),
            *("quantity", "taken", "plant__name", "container__code"),
        )
    )
    holds = defaultdict(list)
    for hold, until, buyer, quantity, taken, plant, container in rows:
        holds[hold, until, buyer].append((quantity - taken, f"{plant}, {container}"))
    for (hold, until, buyer), lines in holds.items():
        plants = sum(number for number, _ in lines)
        yield Event(
            key=f"hold-{hold}",
            title=f"Last day held for {buyer}: {plain(plants)} plant{'s' * (plants > 1)}",
            first=until,
            last=until,
            description="\n".join(f"{plain(number)} {what}" for number, what in lines),
            path=reverse("sales:hold", args=[hold]),
            categories=("Hold",),
        )


def listed_days(lines: Iterable[PublicLine], page: str) -> list[Event]:
    """Return the days from which what a list shows is ready, in the language spoken."""
    seen: dict[tuple, int] = defaultdict(int)
    events = []
    for line in sorted((one for one in lines if one.ready_on), key=lambda one: one.ready_on):
        which = (line.plant_pk, line.container_pk, line.grade, *filter(None, (line.size,)))
        seen[which] += 1
        events.append(
            Event(
                # The first of its kind stays the first when its day changes.
                key="-".join(["list", *map(str, which), str(seen[which])]),
                title=named(line),
                first=line.ready_on,
                last=line.ready_on,
                description="\n".join(filter(None, (words_of(line), line.caution))),
                path=f"{page}#{line.anchor}",
            )
        )
    return events
