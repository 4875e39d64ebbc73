"""Which day's debts are looked at, and how much of each age may not come in."""

from decimal import Decimal

from django import forms

from sales.ages import AGES
from sales.forms.period import DayForm


class OwedForm(DayForm):
    """The day, kept beside the percents of `DoubtForm` in one address."""

    @property
    def kept(self):
        """Yield what else stands in the address."""
        for age in AGES:
            if value := self.data.get(f"percent-{age.key}"):
                yield f"percent-{age.key}", value


class DoubtForm(forms.Form):
    """A percent of each age that is likely not to come in."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for age in AGES:
            self.fields[f"percent-{age.key}"] = forms.DecimalField(
                label=f"{age.words.capitalize()}, %", required=False, min_value=0, max_value=100
            )

    @property
    def kept_day(self) -> str:
        """The day in the address, as it was typed."""
        return self.data.get("on", "")

    @property
    def percents(self) -> dict[str, Decimal]:
        """Return {age: percent} of those given; none where one cannot be read."""
        if not self.is_valid():
            return {}
        given = {age.key: self.cleaned_data[f"percent-{age.key}"] for age in AGES}
        return {key: percent for key, percent in given.items() if percent}
