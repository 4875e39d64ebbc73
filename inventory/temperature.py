"""Temperatures: kept in degrees Celsius, typed and shown as the nursery measures."""

from decimal import ROUND_HALF_UP, Decimal

from inventory.models import Nursery

TENTH = Decimal("0.1")


def is_fahrenheit(nursery: Nursery) -> bool:
    """Say whether the nursery measures in degrees Fahrenheit."""
    return nursery.units == Nursery.Units.US


def unit_of(nursery: Nursery) -> str:
    """Return the sign of the nursery's degrees."""
    return "°F" if is_fahrenheit(nursery) else "°C"


def to_celsius(typed: Decimal, nursery: Nursery) -> Decimal:
    """Return what was typed in the nursery's degrees as °C, to a tenth."""
    celsius = (typed - 32) * 5 / 9 if is_fahrenheit(nursery) else typed
    return celsius.quantize(TENTH, ROUND_HALF_UP)


def from_celsius(celsius: Decimal, nursery: Nursery) -> Decimal:
    """Return degrees Celsius in the nursery's degrees, Fahrenheit in whole ones."""
    if not is_fahrenheit(nursery):
        return celsius.quantize(TENTH, ROUND_HALF_UP)
    return (celsius * 9 / 5 + 32).quantize(Decimal(1), ROUND_HALF_UP)


def temperature(celsius: Decimal, nursery: Nursery) -> str:
    """Write a temperature as the nursery measures it: 70 °F."""
    return f"{from_celsius(celsius, nursery).normalize():f} {unit_of(nursery)}"
