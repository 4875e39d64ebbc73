"""The report of what is held for buyers."""

from datetime import date

from django.utils import timezone

from sales.queries.holds import open_holds


def holds_report(*, on: date | None = None, **_) -> list[dict]:
    """Plants promised to buyers and not handed over yet; ended holds keep none."""
    return [
        {
            "buyer": hold.hold.buyer.kept.name,
            "until": hold.hold.until,
            "plant": row.line.plant.name,
            "container": row.line.container.code,
            "grade": row.line.grade,
            "quantity": row.line.quantity,
            "taken": row.line.taken,
            "open": row.line.open,
            "lot": row.line.lot.code if row.line.lot else "",
            "ready_on": row.ready_on,
            "short": row.short,
        }
        for hold in open_holds(on or timezone.localdate())
        for row in hold.lines
    ]
