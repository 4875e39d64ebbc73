"""What would be, if more or fewer came through, or if they sold for another price."""

from decimal import Decimal

from django import forms


class WhatIfForm(forms.Form):
    """Two numbers of an address; nothing is saved. An empty one is as it stands."""

    through = forms.DecimalField(
        label="Of 100 stuck, how many live to be sold?",
        required=False,
        min_value=1,
        max_value=99,
        max_digits=4,
        decimal_places=1,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"}),
    )
    price = forms.DecimalField(
        label="Price of one",
        required=False,
        min_value=0,
        max_digits=12,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"}),
    )

    @property
    def share(self) -> float | None:
        """The share that comes through, where one was asked for."""
        asked = self.cleaned_data.get("through") if self.is_valid() else None
        return float(asked) / 100 if asked else None

    @property
    def price_asked(self) -> Decimal | None:
        """The price, where one was asked for."""
        return self.cleaned_data.get("price") if self.is_valid() else None
