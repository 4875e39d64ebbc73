"""What is known of a buyer."""

from decimal import Decimal

from django import forms

from inventory.models.letterhead import LANGUAGES
from nursery.forms import RequestForm
from sales.forms.letterhead import country_field
from sales.models import Buyer, PriceList
from sales.operations.buyers import FACTS


class BuyerForm(RequestForm):
    """A name is enough; the rest where it is needed."""

    name = forms.CharField(
        max_length=80,
        widget=forms.TextInput(
            attrs={
                "hx-get": "",
                "hx-trigger": "input changed delay:400ms",
                "hx-target": "#alike",
                "hx-sync": "this:replace",
            }
        ),
    )
    kind = forms.ChoiceField(choices=Buyer.Kind, initial=Buyer.Kind.LANDSCAPER)
    price_list = forms.ChoiceField(
        required=False,
        label="Prices",
        choices=[("", "the usual list of that kind"), *PriceList.choices],
        help_text="A landscaper's is the landscaper list, for the trade the wholesale list, for "
        "all others the stand's.",
    )
    street = forms.CharField(required=False, max_length=120, label="Street and number")
    postcode = forms.CharField(required=False, max_length=16)
    city = forms.CharField(required=False, max_length=80, label="Town")
    region = forms.CharField(required=False, max_length=60, label="State or region")
    country = country_field()
    address = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        label="Or the whole address in your own words",
        help_text="Printed only where street and town above are empty.",
    )
    tax_id = forms.CharField(
        required=False,
        max_length=40,
        label="Tax ID",
        help_text="Printed on the invoice, where the buyer's bookkeeping or the law asks for it.",
    )
    language = forms.ChoiceField(
        required=False,
        choices=[("", "the nursery's"), *LANGUAGES],
        label="Language of invoices",
    )
    email = forms.EmailField(required=False, label="E-mail")
    phone = forms.CharField(
        required=False, max_length=40, widget=forms.TextInput(attrs={"inputmode": "tel"})
    )
    terms_days = forms.IntegerField(
        label="Days to pay",
        min_value=0,
        max_value=365,
        initial=30,
        help_text="From the invoice's date. Invoices already issued keep theirs.",
    )
    discount_percent = forms.DecimalField(
        required=False,
        min_value=0,
        max_value=50,
        decimal_places=2,
        initial=0,
        label="Discount for paying early, percent",
        help_text="Of the amount before tax. 2 within 10 days is the usual “2/10”. Whether tax "
        "follows it is for your tax authority to say.",
    )
    discount_days = forms.IntegerField(
        required=False, min_value=0, max_value=365, initial=0, label="Within how many days"
    )
    tax_exempt = forms.BooleanField(
        required=False,
        label="Buys without sales tax",
        help_text="Only with a certificate in date: add it on the buyer's page, until then sales "
        "are taxed. Who is exempt, and for what, differs from place to place: check with your tax "
        "authority.",
    )
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def clean_discount_percent(self):
        return self.cleaned_data["discount_percent"] or Decimal(0)

    def clean_discount_days(self):
        return self.cleaned_data["discount_days"] or 0

    def refuse(self, error) -> None:
        """Show a LedgerError at the field it names, keeping what was typed."""
        self.add_error(error.field if error.field in self.fields else None, str(error))


def facts_of(buyer: Buyer) -> dict:
    """Return what the form starts with for a buyer who is known."""
    return {name: getattr(buyer, name) for name in FACTS}
