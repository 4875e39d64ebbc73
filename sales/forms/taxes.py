"""The taxes in force, and what is taxed otherwise."""

from datetime import date

from django import forms

from inventory.models import Plant
from nursery.forms import DateInput, RequestForm
from sales.models import TaxKind, TaxRate


class TaxRateForm(RequestForm):
    """The tax of one jurisdiction from a day on."""

    percent = forms.DecimalField(
        label="Percent",
        min_value=0,
        max_value=100,
        max_digits=7,
        decimal_places=4,
        help_text="Enter the state's, the county's and the city's each by itself: they are added "
        "up, and tax is worked out with the sum. 0 ends one.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "number"}),
    )
    jurisdiction = forms.CharField(
        label="Whose tax",
        max_length=60,
        required=False,
        help_text="Such as the state or the county. Empty where there is only one.",
    )
    name = forms.CharField(
        label="Name on the invoice", max_length=60, initial=TaxRate._meta.get_field("name").default
    )
    kind = forms.ChoiceField(
        label="For plants at",
        choices=[TaxKind.choices[0], TaxKind.choices[1]],
        initial=TaxKind.STANDARD,
    )
    basis = forms.ChoiceField(
        label="Rounded",
        choices=[
            (TaxRate.Basis.INVOICE, "once, on the whole invoice"),
            (TaxRate.Basis.ITEM, "on each plant"),
        ],
        initial=TaxRate.Basis.INVOICE,
    )
    included = forms.BooleanField(
        label="My prices include the tax",
        required=False,
        help_text="The tax is then taken out of the price, not added to it.",
    )
    on = forms.DateField(label="In force from", initial=date.today, widget=DateInput)


class PlantTaxForm(RequestForm):
    """Which rate a plant bears."""

    plant = forms.ModelChoiceField(Plant.objects.all(), empty_label="Choose a plant")
    kind = forms.ChoiceField(label="Bears", choices=TaxKind.choices, initial=TaxKind.REDUCED)
