"""The form for what was seen on a heated bench: one tap is enough."""

from django import forms

from inventory.models import BenchNote
from inventory.temperature import to_celsius, unit_of
from nursery.context import current_nursery
from nursery.forms import OperationForm


class BenchForm(OperationForm):
    """How moist the medium is, by the button pressed, and its temperature where it was read."""

    moisture = forms.ChoiceField(
        required=False,
        choices=[("", ""), *BenchNote.Moisture.choices],
        widget=forms.HiddenInput,
    )
    temperature = forms.DecimalField(
        required=False,
        max_digits=4,
        decimal_places=1,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"}),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        del self.fields["note"]
        unit = unit_of(current_nursery())
        self.fields["temperature"].label = f"Temperature of the medium, {unit}"

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        data = self.cleaned_data
        typed = data["temperature"]
        celsius = None if typed is None else to_celsius(typed, current_nursery())
        named = ("request_id", "on", "moisture")
        return {**{name: data[name] for name in named}, "temperature_c": celsius}
