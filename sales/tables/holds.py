"""The list of holds."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html, format_html_join

from nursery.listing import ListTable, MoneyColumn, NumberColumn


class HoldTable(ListTable):
    """One row a hold, those that end first on top."""

    buyer = tables.Column(
        accessor="hold__buyer__kept",
        linkify=lambda record: reverse("sales:hold", args=[record.hold.pk]),
    )
    until = tables.DateColumn(
        accessor="hold__until", format="j M Y", attrs={"cell": {"class": "code"}}
    )
    plants = tables.Column(accessor="lines", orderable=False, attrs={"cell": {"class": "whole"}})
    open = NumberColumn(verbose_name="To hand over")
    deposit = MoneyColumn(accessor="deposit__left", verbose_name="Deposit left")
    state = tables.Column(orderable=False)

    caption = "Holds and orders ahead"

    class Meta:
        order_by = ()

    def before_render(self, request):
        if not any(row.record.deposit.left for row in self.paginated_rows):
            self.columns.hide("deposit")

    def render_plants(self, value):
        return format_html_join(", ", "{} × {} {}", self._each(value))

    def value_plants(self, value):
        return ", ".join(f"{number} × {plant} {size}" for number, plant, size in self._each(value))

    def _each(self, lines):
        return [(one.line.open, one.line.plant.name, one.line.container.code) for one in lines]

    def render_state(self, value):
        word, shape = value
        return format_html('<span class="state {}">{}</span>', shape, word)

    def value_state(self, value):
        return value[0]
