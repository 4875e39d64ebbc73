"""Prices in force."""

from datetime import date
from decimal import Decimal

from inventory.models import Container, Plant
from sales.models import Price, TaxRate


def price_of(plant: Plant, container: Container, on: date) -> Decimal | None:
    """Return the list price before tax in force that day, or None."""
    return (
        Price.objects.filter(plant=plant, container=container, valid_from__lte=on)
        .order_by("-valid_from", "-pk")
        .values_list("amount", flat=True)
        .first()
    )


def price_list(on: date | None = None) -> dict[tuple[int, int], Decimal]:
    """Return {(plant, container): price before tax} in force that day, or last."""
    prices = Price.objects.order_by("valid_from", "pk")
    if on:
        prices = prices.filter(valid_from__lte=on)
    # The last row of a plant and container stands: later rows overwrite earlier ones.
    return {
        (plant, container): amount
        for plant, container, amount in prices.values_list("plant", "container", "amount")
    }


def tax_rate_on(on: date) -> TaxRate | None:
    """Return the tax rate in force that day, or None where there is none."""
    return TaxRate.objects.filter(valid_from__lte=on).order_by("-valid_from").first()
