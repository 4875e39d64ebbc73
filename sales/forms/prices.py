"""List prices and the tax on top."""

from datetime import date

from django import forms

from inventory.models import Container, Plant
from nursery.forms import DateInput, RequestForm
from sales.forms.amounts import AmountField
from sales.models import TaxRate


class PriceSearch(forms.Form):
    """Which prices to look at."""

    container = forms.ModelChoiceField(
        Container.objects.filter(kind="sale", in_use=True),
        to_field_name="code",
        required=False,
        empty_label="all containers",
    )
    plant = forms.CharField(required=False, widget=forms.TextInput(attrs={"type": "search"}))


class PriceForm(RequestForm):
    """The price of one plant in one container from a day on."""

    plant = forms.ModelChoiceField(Plant.objects.all(), widget=forms.HiddenInput)
    container = forms.ModelChoiceField(Container.objects.all(), widget=forms.HiddenInput)
    amount = AmountField(label="Price")
    on = forms.DateField(label="From", initial=date.today, required=False, widget=DateInput)

    def clean_on(self):
        return self.cleaned_data["on"] or date.today()

    def clean_amount(self):
        amount = self.cleaned_data["amount"]
        if amount is not None and amount < 0:
            raise forms.ValidationError("A price cannot be less than nothing.")
        return amount

    @property
    def wrong(self) -> str:
        """What is wrong, in one sentence, for a row of a list."""
        return " ".join(str(error) for errors in self.errors.values() for error in errors)


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
