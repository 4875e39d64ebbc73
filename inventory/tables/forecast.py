"""The list of what becomes ready, month by month."""

import django_tables2 as tables

from inventory.tables.columns import PlantColumn
from inventory.targets import month_words
from nursery.listing import ListTable, NumberColumn


class AboutColumn(NumberColumn):
    """An estimated number of plants, to a whole one."""

    def render(self, value):
        return super().render(round(value))

    def value(self, value):
        return round(value)


class ForecastTable(ListTable):
    """One row a month, a plant and a container."""

    plant = PlantColumn()
    month = tables.Column()
    container = tables.Column(verbose_name="In")
    likely = AboutColumn(verbose_name="About", accessor="ready__likely")
    low = NumberColumn(verbose_name="At least", accessor="ready__low")
    high = NumberColumn(verbose_name="At most", accessor="ready__high")

    caption = "Plants that become ready to sell, month by month"
    empty_text = "Nothing that grows becomes ready in these months."

    class Meta:
        orderable = False

    def render_month(self, value):
        return month_words(value)

    def value_month(self, value):
        return value
