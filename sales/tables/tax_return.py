"""What a tax return asks for, one row a jurisdiction and percent."""

import django_tables2 as tables

from nursery.listing import ListTable, MoneyColumn, NumberColumn
from nursery.templatetags.nursery_tags import amount_without_sign


class TaxReturnTable(ListTable):
    """Sales less credit notes before tax, and the tax on them."""

    jurisdiction = tables.Column(default="All places", empty_values=("",))
    name = tables.Column(verbose_name="Tax", default="")
    words = tables.Column(verbose_name="Category")
    percent = NumberColumn(verbose_name="Percent")
    base = MoneyColumn(verbose_name="Before tax")
    tax = MoneyColumn(
        verbose_name="Charged",
        footer=lambda table: amount_without_sign(sum(row.tax for row in table.data.data)),
    )

    caption = "Tax by jurisdiction"

    class Meta:
        orderable = False

    def render_percent(self, value):
        return f"{value.normalize():f}"
