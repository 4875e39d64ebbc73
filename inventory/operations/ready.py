"""Say from which day a lot's plants are ready to sell."""

from datetime import date

from inventory.errors import LedgerError
from inventory.models import Lot
from inventory.operations.posting import ledger_held


@ledger_held()
def set_ready_on(*, lot: Lot, ready_on: date | None) -> Lot:
    """Set the day a lot's plants are ready to sell; None is as soon as they can be.

    Plants potted up or moved into a new lot take the day along. The same day once more
    changes nothing. Raises LedgerError for a day before the lot began.
    """
    if ready_on and ready_on < lot.began_on:
        raise LedgerError(
            f"Lot {lot} began on {lot.began_on.isoformat()}; its plants cannot be ready before. "
            "Enter that day or a later one.",
            field="ready_on",
        )
    Lot.objects.filter(pk=lot.pk).update(ready_on=ready_on)
    lot.ready_on = ready_on
    return lot
