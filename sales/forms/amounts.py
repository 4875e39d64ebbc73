"""Read amounts of money the way people type them."""

from decimal import Decimal, InvalidOperation
from unicodedata import category

from django import forms

from nursery.context import current_currency
from nursery.money import round_to_currency

LARGEST = Decimal(1_000_000_000)
LONGEST = 24


def read_amount(text: str) -> Decimal:
    """Return an amount typed with a decimal point, or raise ValueError in plain words."""
    cleaned = "".join(sign for sign in text if category(sign) not in ("Sc", "Zs"))
    if len(cleaned) > LONGEST:
        raise ValueError("That is too long for an amount. Write it like 12.50.")
    if "," in cleaned:
        raise ValueError(f"“{text}” has a comma. Write 1250.50: a point, no commas.")
    try:
        amount = Decimal(cleaned)
    except InvalidOperation:
        raise ValueError(f"“{text}” is not an amount. Write it like 12.50.") from None
    if not amount.is_finite() or abs(amount) > LARGEST:
        raise ValueError(f"“{text}” is not an amount a sale can have. Write it like 12.50.")
    if amount != round(amount, 6):
        raise ValueError(f"“{text}” has too many decimals. Write it like 12.50.")
    return amount


def typed(amount: Decimal) -> str:
    """Return an amount as a person types it into a field: 1250.50."""
    return str(round_to_currency(amount, current_currency()))


class AmountField(forms.Field):
    """An amount of money, as a Decimal; None where left empty."""

    def __init__(self, **kwargs):
        widget = forms.TextInput(
            attrs={"inputmode": "decimal", "autocomplete": "off", "class": "number"}
        )
        super().__init__(**{"widget": widget, **kwargs})

    def to_python(self, value):
        text = str(value or "").strip()
        if not text:
            return None
        try:
            return read_amount(text)
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error
