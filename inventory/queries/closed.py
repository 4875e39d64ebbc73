"""Which days are closed."""

from datetime import date

from inventory.models import Closing


def closed_to() -> date | None:
    """Return the last closed day, or None where every day is open."""
    last = Closing.objects.order_by("-pk").first()
    return last.closed_to if last else None
