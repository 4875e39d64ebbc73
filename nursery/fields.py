"""Model fields that any app may use."""

from decimal import Decimal, InvalidOperation

from django import forms
from django.core.exceptions import ValidationError
from django.db import models

from nursery.money import (
    LARGEST_AMOUNT,
    MILLION,
    NotAnAmount,
    from_millionths,
    to_millionths,
)


class MillionthsField(models.BigIntegerField):
    """An exact number: Decimal in Python, whole millionths in the database."""

    description = "A number in whole millionths"

    def from_db_value(self, value, expression, connection):
        return None if value is None else from_millionths(int(value))

    def to_python(self, value):
        if value is None or isinstance(value, Decimal):
            return value
        try:
            return Decimal(value)
        except (InvalidOperation, TypeError, ValueError) as error:
            raise ValidationError(f"“{value}” is not a number.") from error

    def get_prep_value(self, value):
        if value is None or hasattr(value, "resolve_expression"):
            return value
        millionths = to_millionths(value)
        if abs(millionths) > LARGEST_AMOUNT * MILLION:
            raise NotAnAmount(f"{value} is more than the ledger can hold.")
        return millionths

    def formfield(self, **kwargs):
        return models.Field.formfield(
            self,
            **{
                "form_class": forms.DecimalField,
                "max_digits": 17,
                "decimal_places": 6,
                **kwargs,
            },
        )

    @property
    def validators(self):
        return list(self._validators)


class MoneyField(MillionthsField):
    """An exact amount of money in the nursery's currency.

    Prices and costs share the one scale, so that no amount depends on which
    currency was in force when it was read. Whole cents are a rule of documents
    and prices, kept where those are made.
    """

    description = "An amount of money in millionths of the currency unit"


class QuantityField(MillionthsField):
    """An exact quantity of a supply or of minutes, in the unit its row names."""

    description = "A quantity in millionths of its unit"
