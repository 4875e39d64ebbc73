"""Say from which day which sales tax is in force."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from inventory.operations.posting import ledger_held
from sales.errors import SaleRefused
from sales.models import Document, TaxRate


def set_tax_rate(
    *, name: str, percent: Decimal, basis: str, on: date, request_id: UUID, by=None
) -> TaxRate:
    """Set the sales tax in force from a day on; a second one for that day replaces it.

    Raises SaleRefused where documents have been issued since that day: theirs
    would no longer be the rate in force, and an issued document does not change.
    """
    with ledger_held():
        standing = TaxRate.objects.filter(valid_from=on).first()
        if standing and (standing.name, standing.percent, standing.basis) == (name, percent, basis):
            return standing
        _refuse_where_issued(on)
        rate, _ = TaxRate.objects.update_or_create(
            valid_from=on, defaults={"name": name, "percent": percent, "basis": basis}
        )
        return rate


def drop_tax_rate(*, rate: TaxRate, by=None) -> None:
    """Take back a rate under which nothing was issued yet."""
    with ledger_held():
        _refuse_where_issued(rate.valid_from)
        TaxRate.objects.filter(pk=rate.pk).delete()


def _refuse_where_issued(on):
    last = Document.objects.filter(date__gte=on).order_by("-date").first()
    if last:
        raise SaleRefused(
            f"Documents were issued since {on.isoformat()}, the last on "
            f"{last.date.isoformat()}; they keep their tax. Enter a later day.",
            field="valid_from",
        )
