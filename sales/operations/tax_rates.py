"""Say from which day which sales tax is in force."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from inventory.models import Plant
from inventory.operations.posting import ledger_held
from sales.models import PlantTax, TaxKind, TaxRate


def set_tax_rate(
    *,
    percent: Decimal,
    on: date,
    basis: str,
    name: str,
    jurisdiction: str = "",
    kind: str = TaxKind.STANDARD,
    included: bool = False,
    request_id: UUID | None = None,
    by=None,
) -> TaxRate:
    """Set a jurisdiction's tax rate from a day on; the same day again replaces it.

    The rates of all jurisdictions are added up. Documents already issued keep the tax they bear.
    """
    with ledger_held():
        rate, _ = TaxRate.objects.update_or_create(
            valid_from=on,
            jurisdiction=jurisdiction.strip(),
            kind=kind,
            defaults={"percent": percent, "basis": basis, "name": name, "included": included},
        )
        return rate


def drop_tax_rate(*, rate: TaxRate, by=None) -> None:
    """Take a rate back; the one before it is in force again, or none."""
    with ledger_held():
        TaxRate.objects.filter(pk=rate.pk).delete()


def tax_plant(*, plant: Plant, kind: str, request_id: UUID | None = None, by=None) -> None:
    """Say which rate a plant bears. Documents already issued keep the tax they bear."""
    with ledger_held():
        if kind == TaxKind.STANDARD:
            PlantTax.objects.filter(plant=plant).delete()
        else:
            PlantTax.objects.update_or_create(plant=plant, defaults={"kind": kind})
