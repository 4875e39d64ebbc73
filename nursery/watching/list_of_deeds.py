"""The list of who did what: its columns and the ways to narrow it."""

from datetime import datetime, time, timedelta

import django_filters as filters
import django_tables2 as tables
from django.contrib.auth import get_user_model
from django.utils import timezone
from django.utils.html import format_html

from nursery.forms import DateInput
from nursery.listing import ListTable
from nursery.models import Deed

CODE = {"td": {"class": "code"}}
WHOLE = {"td": {"class": "whole"}}


class DeedTable(ListTable):
    """One row a deed, the newest first."""

    what = tables.Column(verbose_name="What", attrs=WHOLE)
    who = tables.Column(empty_values=(), verbose_name="Who")
    at = tables.DateTimeColumn(verbose_name="When", format="j M Y, H:i:s")
    about = tables.Column(verbose_name="About", default="")
    kind = tables.Column(verbose_name="Kind", visible=False)
    outcome = tables.Column(accessor="refused", verbose_name="Outcome", visible=False)
    reference = tables.Column(verbose_name="Reference", default="", attrs=CODE)

    caption = "Who did what, newest first"
    empty_text = "Nothing was done that matches."

    class Meta:
        orderable = False

    def render_what(self, record):
        if record.refused:
            return format_html('{} <span class="state lost">refused</span>', record.what)
        return record.what

    def value_what(self, record):
        return record.what

    def render_who(self, record):
        if record.by is not None:
            return record.by.get_full_name() or record.by.get_username()
        return f"{record.machine_user}, by a command" if record.machine_user else "a visitor"

    def value_at(self, value):
        return value

    def render_about(self, record):
        return format_html('<a href="{}">{}</a>', record.about, record.about_name)

    def value_about(self, record):
        return record.about

    def value_outcome(self, value):
        return "refused" if value else "done"


class DeedFilter(filters.FilterSet):
    """Deeds by person, kind and day."""

    by = filters.ModelChoiceFilter(
        label="Who", queryset=lambda _request: accounts(), empty_label="Anybody"
    )
    kind = filters.ChoiceFilter(label="Kind", choices=Deed.Kind, empty_label="Anything")
    since = filters.DateFilter(label="From", method="from_day", widget=DateInput)
    until = filters.DateFilter(label="To", method="to_day", widget=DateInput)

    class Meta:
        model = Deed
        fields = ()

    def from_day(self, rows, _name, day):
        return rows.filter(at__gte=_begin_of(day))

    def to_day(self, rows, _name, day):
        return rows.filter(at__lt=_begin_of(day + timedelta(days=1)))


def accounts():
    """Return all accounts, by name."""
    accounts = get_user_model()
    return accounts.objects.order_by(accounts.USERNAME_FIELD)


def _begin_of(day) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))
