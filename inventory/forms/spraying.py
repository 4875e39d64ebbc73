"""The form for a pesticide that was used at a place."""

from datetime import datetime

from django import forms
from django.utils import timezone

from nursery.forms import OperationForm


def _now():
    return timezone.localtime().strftime("%H:%M")


class SprayingForm(OperationForm):
    """What its label and the record of its use ask for."""

    product = forms.CharField(label="Product, as on its label", max_length=80)
    reentry_hours = forms.IntegerField(
        label="Re-entry time on the label, in hours",
        min_value=0,
        max_value=2000,
        help_text="It differs by product: read the label. Several together: the longest.",
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    time = forms.TimeField(
        label="Finished at", initial=_now, widget=forms.TimeInput(attrs={"type": "time"})
    )
    registration = forms.CharField(label="Registration number", required=False, max_length=40)
    amount = forms.CharField(label="Total amount", required=False, max_length=60)
    crop = forms.CharField(label="On which plants", required=False, max_length=80)
    applicator = forms.CharField(label="Who, and certificate number", required=False, max_length=80)

    field_order = ("product", "reentry_hours", "on", "time")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        del self.fields["note"]

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        data = dict(self.cleaned_data)
        at = datetime.combine(data.pop("on"), data.pop("time"))
        return data | {"ended_at": timezone.make_aware(at)}
