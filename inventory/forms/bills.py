"""The form for a bill: how much, for which days and place, and who bears it."""

from calendar import monthrange
from datetime import date, timedelta

from django import forms
from django.db import models

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


class Span(models.TextChoices):
    """What a length of time is counted in."""

    YEARS = "years", "years"
    MONTHS = "months", "months"
    DAYS = "days", "days"


def last_of(first_day: date, number: int, counted_in: str) -> date:
    """Return the last of so many years, months or days that begin on a day.

    A month that has no such day ends the span with its last: a month from 31 January ends
    on 28 February.
    """
    if counted_in == Span.DAYS:
        return first_day + timedelta(days=number - 1)
    months = first_day.month - 1 + number * (12 if counted_in == Span.YEARS else 1)
    year, month = first_day.year + months // 12, months % 12 + 1
    last = monthrange(year, month)[1]
    if first_day.day > last:
        return date(year, month, last)
    return date(year, month, first_day.day) - timedelta(days=1)


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
        help_text="The days it was for. What lasts longer, such as film, or rent for a year, is "
        "paid ahead and charged part by part.",
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


class PaidAheadForm(BillForm):
    """A cost for days to come: how much, from which day, for how long, and who bears it."""

    last_day = None
    lasts = forms.IntegerField(label="Lasts", min_value=1, max_value=600)
    counted_in = forms.ChoiceField(
        label="Years, months or days", choices=Span.choices, initial=Span.YEARS
    )
    field_order = ("request_id", "category", "amount", "first_day", "lasts", "counted_in", "place")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.initial |= {"category": "space", "first_day": date.today()}
        self.fields["lasts"].widget.attrs["inputmode"] = "numeric"
        self.fields["first_day"].help_text = "The parts are worked out by days from here on."
        self.fields["unused"].help_text = "Each part is shared as a bill of its days is."

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        data = super().what
        lasts, counted_in = data.pop("lasts"), data.pop("counted_in")
        return data | {"last_day": last_of(data["first_day"], lasts, counted_in)}


class ChargeForm(RequestForm):
    """Until which day to charge what was paid ahead."""

    until = forms.DateField(label="Until", widget=DateInput)

    def refuse(self, error) -> None:
        """Show a LedgerError at the day, keeping what was typed."""
        self.add_error("until", str(error))
