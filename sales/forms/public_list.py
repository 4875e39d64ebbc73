"""What the list on the web shows, and until when a buyer's own link leads to it."""

from datetime import timedelta

from django import forms
from django.utils import timezone

from nursery.forms import DateInput
from sales.models import Numbers, PriceList, PublicList
from sales.operations.public_list import SHOWN

USUAL = timedelta(days=30)


class PublicListForm(forms.Form):
    """What is shown to anyone, and how to reach the nursery."""

    is_on = forms.BooleanField(
        label="Show the list to anyone",
        required=False,
        help_text="Off, its address leads nowhere.",
    )
    greeting = forms.CharField(
        required=False,
        max_length=600,
        label="A few words on top",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="When you are open, how to order, where you are.",
    )
    numbers = forms.ChoiceField(label="How many", choices=Numbers)
    on_list = forms.ChoiceField(
        label="Prices",
        required=False,
        choices=[("", "none"), *((key, f"the {label} list") for key, label in PriceList.choices)],
    )
    shows_later = forms.BooleanField(label="Also what is ready later, with its day", required=False)
    shows_photos = forms.BooleanField(label="Pictures", required=False)
    call_name = forms.CharField(label="Who to call", required=False, max_length=80)
    phone = forms.CharField(
        required=False, max_length=40, widget=forms.TextInput(attrs={"inputmode": "tel"})
    )
    email = forms.EmailField(label="E-mail", required=False)
    takes_requests = forms.BooleanField(
        label="Let them ask for plants",
        required=False,
        help_text="What they ask for comes to Today and to this e-mail address. It holds nothing.",
    )
    request_days = forms.IntegerField(
        label="Forget what a stranger asked for after so many days",
        min_value=1,
        max_value=3650,
        help_text="From the day it came, was put away, or its plants were last held. Half a year "
        "is common practice; the law of your place may want it sooner.",
    )

    def __init__(self, *args, row: PublicList, **kwargs):
        initial = {name: getattr(row, name) for name in SHOWN}
        super().__init__(*args, initial=initial, **kwargs)

    def refuse(self, error) -> None:
        """Show a LedgerError at the field it names, keeping what was typed."""
        self.add_error(error.field if error.field in self.fields else None, str(error))


class BuyerLinkForm(forms.Form):
    """Until when a buyer's link leads to the list."""

    last_on = forms.DateField(
        label="Until when?",
        widget=DateInput,
        help_text="At the end of that day it leads nowhere.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["last_on"].initial = timezone.localdate() + USUAL

    def refuse(self, error) -> None:
        """Show a LedgerError at the field it names, keeping what was typed."""
        self.add_error(error.field if error.field in self.fields else None, str(error))
