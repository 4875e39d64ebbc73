"""Reading the settings of the nursery."""

import calendar

from django import forms

from inventory.models import Nursery
from inventory.queries.money_entered import is_money_entered
from nursery.forms import RequestForm
from nursery.welcome import currency_choices

MONTHS = [(number, calendar.month_name[number]) for number in range(1, 13)]
NO_MONTH = [("", "not said"), *MONTHS]


class NurseryForm(RequestForm):
    """The name, money, units and seasons of the nursery."""

    name = forms.CharField(max_length=80, help_text="It stands on every document.")
    currency = forms.ChoiceField()
    units = forms.ChoiceField(choices=Nursery.Units)
    cash_step = forms.DecimalField(
        required=False,
        min_value=0,
        max_digits=12,
        decimal_places=6,
        label="Smallest amount in cash",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "number"}),
        help_text="A total paid in cash is rounded to it, tax is not. Empty: as is usual for the "
        "currency. 0: nothing is rounded. Check what your country's rule is.",
    )
    counted_for_price = forms.ChoiceField(
        label="A price “from 10” counts",
        choices=Nursery.Counted,
        help_text="Ten of one plant, or ten of a container mixed, as ten #1 of several kinds.",
    )
    season_start_month = forms.TypedChoiceField(
        label="The growing season begins in", choices=MONTHS, coerce=int
    )
    season_end_month = forms.TypedChoiceField(
        label="It ends in",
        choices=MONTHS,
        coerce=int,
        help_text="The age of a plant counts the seasons that have ended. South of the "
        "equator a season may run over the new year.",
    )

    last_frost_month = forms.TypedChoiceField(
        label="The last frost of spring is usually in",
        choices=NO_MONTH,
        coerce=int,
        empty_value=None,
        required=False,
    )
    last_frost_day = forms.IntegerField(label="on day", required=False, min_value=1, max_value=31)
    first_frost_month = forms.TypedChoiceField(
        label="The first frost of autumn is usually in",
        choices=NO_MONTH,
        coerce=int,
        empty_value=None,
        required=False,
    )
    first_frost_day = forms.IntegerField(
        label="on day",
        required=False,
        min_value=1,
        max_value=31,
        help_text="Steps of methods are timed by the frosts: covers, hardening off, potting up. "
        "Ask your weather service for your place's usual days.",
    )

    counts_own_time = forms.BooleanField(
        label="Count my own hours in what plants cost",
        required=False,
        help_text="What the pages of costs and margins begin with; each shows it the other "
        "way too. The journal and the proof always count all.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if step := self.initial.get("cash_step"):
            self.initial["cash_step"] = f"{step.normalize():f}"
        self.fields["currency"].choices = currency_choices()
        if is_money_entered():
            self.fields[
                "currency"
            ].help_text = "Money has been entered in this currency, so it can no longer change."

    def clean(self):
        cleaned = super().clean()
        for frost in ("last_frost", "first_frost"):
            given = [name for name in (f"{frost}_month", f"{frost}_day") if cleaned.get(name)]
            if len(given) == 1:
                missing = f"{frost}_day" if given[0].endswith("month") else f"{frost}_month"
                self.add_error(missing, "Say both, the month and the day, or neither.")
        return cleaned

    def refuse(self, error) -> None:
        """Show a LedgerError at the field it names, keeping what was typed."""
        self.add_error(error.field if error.field in self.fields else None, str(error))
