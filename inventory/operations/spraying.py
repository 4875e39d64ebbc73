"""Write down that a pesticide was used at a place."""

from datetime import datetime, timedelta
from uuid import UUID

from django.utils import timezone

from inventory.errors import LedgerError
from inventory.models import Place, Spraying
from inventory.models.spraying import LONGEST_HOURS
from inventory.operations.posting import ledger_held


@ledger_held()
def spray(
    *,
    place: Place,
    product: str,
    ended_at: datetime,
    reentry_hours: int,
    request_id: UUID,
    by=None,
    **record: str,
) -> Spraying:
    """Note a use of a pesticide, with the re-entry hours that its label gives.

    `record` may be registration, amount, crop and applicator. Raises LedgerError without a
    product, for hours no label has, or for a time that has not come.
    """
    if known := Spraying.objects.filter(request_id=request_id).first():
        return known
    if not product.strip():
        raise LedgerError("Name the product, as its label does.", field="product")
    if not 0 <= reentry_hours <= LONGEST_HOURS:
        raise LedgerError("Take the re-entry hours from the label.", field="reentry_hours")
    if ended_at > timezone.now() + timedelta(days=1):
        raise LedgerError("That has not come yet. Enter when it was done.", field="on")
    return Spraying.objects.create(
        place=place,
        product=product.strip(),
        ended_at=ended_at,
        reentry_hours=reentry_hours,
        request_id=request_id,
        entered_by=by,
        **record,
    )


@ledger_held()
def remove_spraying(*, spraying: Spraying) -> None:
    """Take a use of a pesticide back that was none."""
    Spraying.objects.filter(pk=spraying.pk).update(is_removed=True)


@ledger_held()
def put_spraying_back(*, spraying: Spraying) -> None:
    """Keep a use of a pesticide again that was taken back."""
    Spraying.objects.filter(pk=spraying.pk).update(is_removed=False)
