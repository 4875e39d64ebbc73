"""Which days are closed."""

from datetime import date

from inventory.models import Closing


def closed_to() -> date | None:
    """Return the last closed day, or None where every day is open."""
    # Asked at every write, so the snapshot is not read with it.
    return Closing.objects.order_by("-pk").values_list("closed_to", flat=True).first()
