"""Whether this machine's clock can be right."""

from datetime import datetime, timedelta

from django.utils import timezone

from inventory.models import Operation

# Two machines that serve one ledger never agree to the second.
MAY_BE_OFF = timedelta(minutes=10)


def newest_entry() -> datetime | None:
    """Return when the newest entry was made, by the clock of then."""
    return Operation.objects.order_by("-pk").values_list("entered_at", flat=True).first()


def is_behind(newest: datetime | None) -> bool:
    """Say whether the clock is before a moment that has been: it was set back, or stood still."""
    return newest is not None and newest > timezone.now() + MAY_BE_OFF
