"""What sold plants brought and cost, as a table."""

from datetime import date

import django_tables2 as tables

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


def key_in_words(key: str, by: str) -> str:
    """Write a month as "May 2026"; every other key is words already."""
    return f"{date.fromisoformat(f'{key}-01'):%b %Y}" if by == "month" else key


class EachColumn(UnitCostColumn):
    """An amount for one plant; the columns beside it name the currency."""

    header = tables.Column.header


class MarginTable(ListTable):
    """One row for each plant, container, lot, batch, buyer or month."""

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

    def render_key(self, value):
        return plant_name(value) if self.by == "plant" else key_in_words(value, self.by)

    def render_sold(self, value):
        # A batch's part of a blended lot may be a fraction of a plant.
        return plain(round(exact(value), 1))
