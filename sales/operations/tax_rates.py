"""Say from which day which sales tax is in force."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from inventory.operations.posting import ledger_held
from sales.models import TaxRate


def set_tax_rate(
    *,
    percent: Decimal,
    on: date,
    basis: str,
    name: str,
    request_id: UUID | None = None,
    by=None,
) -> TaxRate:
    """Set the combined tax rate from a day on; the same day again replaces it.

    Documents already issued keep the tax they bear.
    """
    with ledger_held():
        rate, _ = TaxRate.objects.update_or_create(
            valid_from=on, defaults={"percent": percent, "basis": basis, "name": name}
        )
        return rate


def drop_tax_rate(*, rate: TaxRate, by=None) -> None:
    """Take a rate back; the one before it is in force again, or none."""
    with ledger_held():
        TaxRate.objects.filter(pk=rate.pk).delete()
