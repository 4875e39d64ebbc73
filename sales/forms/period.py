"""Reading what a page of the books covers: from a day, to a day, grouped how."""

from datetime import date

from django import forms

from nursery.forms import DateInput

# What a page is grouped by, in the order of the choices, and the head of its first column.
GROUPS = {
    "plant": "Plant",
    "container": "Container",
    "lot": "Lot",
    "batch": "Batch",
    "sale": "Sale",
    "buyer": "Buyer",
    "channel": "Way of selling",
    "month": "Month",
}


class PeriodForm(forms.Form):
    """A stretch of days, both ends included; an empty end is open."""

    since = forms.DateField(label="From", required=False, widget=DateInput)
    until = forms.DateField(label="To", required=False, widget=DateInput)

    def clean(self):
        since, until = self.cleaned_data.get("since"), self.cleaned_data.get("until")
        if since and until and since > until:
            self.add_error(
                "until", f"This is before {since.isoformat()}. Enter that day or a later one."
            )
        return self.cleaned_data

    @property
    def days(self) -> tuple[date | None, date | None]:
        """Return the two ends, both open where the form cannot be read."""
        if not self.is_valid():
            return None, None
        return self.cleaned_data["since"], self.cleaned_data["until"]


class MarginForm(PeriodForm):
    """A period, and what its sales are grouped by."""

    by = forms.ChoiceField(label="Group by", required=False, choices=list(GROUPS.items()))
    field_order = ("by", "since", "until")

    @property
    def grouping(self) -> str:
        """Return how to group: by plant unless another way was asked for."""
        self.is_valid()
        return self.cleaned_data.get("by") or "plant"


class LossForm(PeriodForm):
    """A period, and the cause that is looked for."""

    cause = forms.ChoiceField(required=False)

    def __init__(self, *args, causes=(), **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["cause"].choices = [("", "Every cause"), *causes]


class DayForm(forms.Form):
    """The day at whose end something is looked at; today where empty."""

    on = forms.DateField(label="At the end of", required=False, widget=DateInput)

    @property
    def day(self) -> date | None:
        """Return the day asked for, or None for now."""
        return self.cleaned_data["on"] if self.is_valid() else None
