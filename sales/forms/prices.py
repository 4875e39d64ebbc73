"""The tax on top of prices."""

from datetime import date

from django import forms

from nursery.forms import DateInput, RequestForm
from sales.models import TaxRate


class TaxRateForm(RequestForm):
    """The sales tax from a day on: state and local together."""

    percent = forms.DecimalField(
        label="Percent, state and local together",
        min_value=0,
        max_value=100,
        max_digits=7,
        decimal_places=4,
        help_text="Add the state's and the local percent up: the tax is worked out with the sum. "
        "6.25 and 1.5 are 7.75.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "number"}),
    )
    name = forms.CharField(
        label="Name on the invoice", max_length=60, initial=TaxRate._meta.get_field("name").default
    )
    basis = forms.ChoiceField(
        label="Rounded",
        choices=[
            (TaxRate.Basis.INVOICE, "once, on the whole invoice"),
            (TaxRate.Basis.ITEM, "on each plant"),
        ],
        initial=TaxRate.Basis.INVOICE,
    )
    on = forms.DateField(label="In force from", initial=date.today, widget=DateInput)
