"""The list of stand days."""

import django_tables2 as tables
from django.urls import reverse

from nursery.listing import ListTable, MoneyColumn, NumberColumn


class StandTable(ListTable):
    """One row a stand day, the newest on top."""

    date = tables.DateColumn(
        verbose_name="Opened",
        accessor="day__date",
        format="j M Y",
        linkify=lambda record: reverse("sales:stand-day", args=[record.day.pk]),
        attrs={"cell": {"class": "code"}},
    )
    place = tables.Column(accessor="day__place__name")
    sold = NumberColumn(verbose_name="Sold")
    revenue = MoneyColumn(verbose_name="Before tax")
    expected = MoneyColumn(verbose_name="Cash expected")
    counted = MoneyColumn(verbose_name="Counted")
    over_short = MoneyColumn(verbose_name="Over or short")
    missing = NumberColumn(verbose_name="Plants missing")

    caption = "Stand days that closed"

    class Meta:
        order_by = ()
        attrs = {"class": "many-columns"}
