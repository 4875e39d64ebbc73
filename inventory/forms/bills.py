"""The form for a bill: how much, for which days and place, and who bears it."""

from datetime import date, timedelta

from django import forms

from inventory.costing.categories import CATEGORIES
from inventory.forms.fields import MoneyInputField, PlaceField
from inventory.models import Bill
from inventory.queries.bills import Asked
from inventory.queries.wording import CATEGORY_WORDS
from nursery.forms import DateInput, RequestForm

# A refusal about a closed day names the day of an entry; a bill has two.
FIELD_OF_DAY = {"on": "first_day", "date": "first_day"}
BASIS_HELP = (
    "By area and days suits heat, film, rent and insurance; by plants suits water and feed; "
    "by minutes suits what goes with the work."
)


def last_month() -> tuple[date, date]:
    """Return the first and the last day of the month before this one."""
    last = date.today().replace(day=1) - timedelta(days=1)
    return last.replace(day=1), last


class BillForm(RequestForm):
    """A bill for a place and some days."""

    category = forms.ChoiceField(
        label="What for",
        choices=[(category, CATEGORY_WORDS[category].capitalize()) for category in CATEGORIES],
        initial="heat",
    )
    amount = MoneyInputField(label="Amount, without tax you get back")
    first_day = forms.DateField(label="First day", widget=DateInput)
    last_day = forms.DateField(
        label="Last day",
        widget=DateInput,
        help_text="The days it was for. What lasts for years, such as film, is entered a season "
        "at a time: its price divided by the seasons it lasts.",
    )
    place = PlaceField(label="Where", required=False, empty_label="the whole nursery")
    basis = forms.ChoiceField(
        label="Shared among the plants",
        choices=Bill.Basis.choices,
        initial=Bill.Basis.AREA,
        help_text=BASIS_HELP,
    )
    unused = forms.ChoiceField(
        label="Space nobody used",
        choices=[(value, words.capitalize()) for value, words in Bill.Unused.choices],
        initial=Bill.Unused.PLANTS,
        help_text="The next page shows what each choice does to the cost of a plant.",
    )
    note = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Such as whose bill it is, and its number.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        first, last = last_month()
        self.initial = {"first_day": first, "last_day": last} | self.initial
        self.fields["amount"].widget.attrs["autofocus"] = True

    def refuse(self, error) -> None:
        """Show a LedgerError at the field it names, keeping what was typed."""
        field = FIELD_OF_DAY.get(error.field, error.field)
        self.add_error(field if field in self.fields else None, str(error))

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        data = self.cleaned_data
        return {name: data[name] for name in data if name != "request_id"}

    @property
    def asked(self) -> Asked:
        """Return the bill as it is shared."""
        return Asked(**{name: value for name, value in self.what.items() if name != "note"})
