"""What sold plants brought and cost, as a table."""

from datetime import date
from functools import cached_property

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from nursery.listing import (
    ListTable,
    MoneyColumn,
    NumberColumn,
    PercentColumn,
    UnitCostColumn,
    exact,
)
from nursery.templatetags.nursery_tags import plain, plant_name
from sales.forms.period import GROUPS
from sales.models import Document


def key_in_words(key: str, by: str) -> str:
    """Write a month as "May 2026"; every other key is words already."""
    return f"{date.fromisoformat(f'{key}-01'):%b %Y}" if by == "month" else key


class EachColumn(UnitCostColumn):
    """An amount for one plant; the columns beside it name the currency."""

    header = tables.Column.header


class MarginTable(ListTable):
    """One row for each plant, container, lot, batch, sale, buyer, way of selling or month."""

    key = tables.Column()
    sold = NumberColumn()
    revenue = MoneyColumn(verbose_name="Revenue")
    cost_of_sales = MoneyColumn(verbose_name="Cost of sales")
    margin = MoneyColumn(verbose_name="Margin")
    unit_price = EachColumn(verbose_name="Price each")
    unit_cost = EachColumn(verbose_name="Cost each")
    unit_margin = EachColumn(verbose_name="Margin each")
    margin_percent = PercentColumn(verbose_name="% of price")

    caption = "Margin"

    def __init__(self, rows, *args, by, **kwargs):
        self.by = by
        super().__init__(rows, *args, **kwargs)
        self.columns["key"].column.verbose_name = GROUPS[by]

    @cached_property
    def sales_shown(self) -> dict[str, Document]:
        """The sales that this page of the table names, by their numbers."""
        numbers = [row.record.key for row in self.paginated_rows]
        return Document.objects.select_related("buyer").in_bulk(numbers, field_name="number")

    def render_key(self, value):
        if self.by == "sale":
            sale = self.sales_shown[value]
            return format_html(
                '<a href="{}">{}</a> <small class="soft">{}, {}</small>',
                reverse("sales:document", args=[sale.pk]),
                value,
                sale.buyer or "walk-in",
                f"{sale.date.day} {sale.date:%b %Y}",
            )
        return plant_name(value) if self.by == "plant" else key_in_words(value, self.by)

    def value_key(self, value):
        return key_in_words(value, self.by)

    def render_sold(self, value):
        # A batch's part of a blended lot may be a fraction of a plant.
        return plain(round(exact(value), 1))
