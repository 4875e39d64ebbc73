"""By which method the stock is valued, and what selling it costs."""

from decimal import Decimal

from django import forms

from nursery.numbers import is_number
from sales.forms.amounts import AmountField, read_amount
from sales.forms.period import DayForm
from sales.queries.valuation import METHODS, Terms

PREFIX = "complete-"


class ValuationForm(DayForm):
    """A day, a method, and the costs to sell and to complete."""

    method = forms.ChoiceField(required=False, choices=list(METHODS.items()))
    selling = forms.DecimalField(
        label="Selling costs, %", required=False, min_value=0, max_value=100
    )
    complete = AmountField(label="To complete, each", required=False)
    field_order = ("method", "on", "selling", "complete")

    @property
    def way(self) -> str:
        """Return the method asked for: at cost unless another was."""
        return (self.cleaned_data.get("method") if self.is_valid() else "") or "cost"

    @property
    def terms(self) -> Terms:
        """Return the costs to sell and complete, of all and of single items."""
        if not self.is_valid():
            return Terms()
        return Terms(
            self.cleaned_data["selling"] or Decimal(0),
            self.cleaned_data["complete"] or Decimal(0),
            dict(self._of_items()),
        )

    def clean_complete(self):
        amount = self.cleaned_data["complete"]
        if amount is not None and amount < 0:
            raise forms.ValidationError("What it takes to finish a plant is nothing or more.")
        return amount

    def clean(self):
        for name, typed in self._typed():
            if _amount(typed) is None:
                self.add_error(None, f"“{typed}” is not what a plant takes to finish ({name}).")
        return self.cleaned_data

    @property
    def kept(self) -> list[tuple[str, str]]:
        """Return what was typed for items, so that those on other pages are sent along.

        The fields of the page come after them, and the last of a name counts.
        """
        return [(f"{PREFIX}{name}", typed) for name, typed in self._typed()]

    def typed_of(self, item) -> str:
        """Return what was typed for an item, as it stands in its field."""
        return self.data.get(f"{PREFIX}{item.plant.pk}-{item.container.pk}", "")

    def _typed(self):
        for name in self.data:
            if name.startswith(PREFIX) and self.data[name].strip():
                yield name.removeprefix(PREFIX), self.data[name].strip()

    def _of_items(self):
        for name, typed in self._typed():
            plant, _, container = name.partition("-")
            amount = _amount(typed)
            if is_number(plant) and is_number(container) and amount is not None:
                yield (int(plant), int(container)), amount


def _amount(typed):
    """Return an amount that was typed, or None where it is none."""
    try:
        amount = read_amount(typed)
    except ValueError:
        return None
    return amount if amount >= 0 else None
