"""What a sale or its undoing asks of the stand it is made at. Called with the ledger held."""

from datetime import date

from django.utils.text import capfirst

from sales.errors import SaleRefused
from sales.models import Document, Payment, StandDay, StandSale


def refuse_no_stand(day: StandDay | None, on: date) -> None:
    """Raise SaleRefused where nothing can be done at a stand on a day; none refuses nothing."""
    if day is None:
        return
    if not StandDay.objects.open().filter(pk=day.pk).exists():
        raise SaleRefused(
            f"{capfirst(day.party)} is closed and its box counted. Sell beside the stand, "
            "or undo its closing first.",
            field="stand",
        )
    if on < day.date:
        raise SaleRefused(
            f"{capfirst(day.party)} opened on {day.date.isoformat()}; use that day or a later one.",
            field="on",
        )


def note_sale_at_stand(day: StandDay, document: Document, payment: Payment | None) -> None:
    """Note that a sale belongs to a stand day, and what was paid there at once."""
    StandSale(day=day, document=document, payment=payment).save(force_insert=True)


def refuse_counted(document: Document | None) -> None:
    """Raise SaleRefused where a sale's stand has closed: its box was counted with the money."""
    sold = (
        document
        and StandSale.objects.filter(document=document, day__state=StandDay.State.CLOSED)
        .select_related("day__place")
        .first()
    )
    if sold:
        raise SaleRefused(
            f"{document} was sold at {sold.day}, and its box was counted since. Undo the "
            "closing of the stand first."
        )
