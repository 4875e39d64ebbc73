"""Which places are closed after spraying, and until when."""

from datetime import datetime, timedelta

from inventory.models import Place, Spraying
from inventory.models.spraying import LONGEST_HOURS


def closed_places(now: datetime) -> dict[int, Spraying]:
    """Return {place: the use that keeps it closed longest}, parts of a place along with it.

    Of several products used together the longest re-entry time counts (the rule of
    40 CFR 170.112(a)(3), as it was).
    """
    since = now - timedelta(hours=LONGEST_HOURS)
    rows = Spraying.objects.filter(is_removed=False, ended_at__gt=since)
    latest: dict[int, Spraying] = {}
    for row in rows.select_related("place"):
        before = latest.get(row.place_id)
        if row.closed_until > now and (before is None or row.closed_until > before.closed_until):
            latest[row.place_id] = row
    return _with_parts(latest) if latest else {}


def _with_parts(latest):
    parents = dict(Place.objects.values_list("pk", "parent"))
    closed = {}
    for place in parents:
        above, found = place, []
        while above is not None:
            found += [latest[above]] if above in latest else []
            above = parents[above]
        if found:
            closed[place] = max(found, key=lambda row: row.closed_until)
    return closed
