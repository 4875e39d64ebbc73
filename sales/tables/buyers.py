"""The list of buyers."""

import django_tables2 as tables
from django.urls import reverse

from nursery.listing import ListTable, MoneyColumn


class BuyerTable(ListTable):
    """One row a buyer, with what they owe."""

    name = tables.Column(linkify=lambda record: reverse("sales:buyer", args=[record.pk]))
    kind = tables.Column()
    owed = MoneyColumn(verbose_name="Owes")
    bought = MoneyColumn(verbose_name="Bought in a year")
    last_on = tables.DateColumn(format="j M Y", verbose_name="Last sale", default="")
    phone = tables.Column(orderable=False, default="")

    caption = "Buyers"
    empty_text = "No buyer matches."

    class Meta:
        fields = ("name", "kind", "owed", "bought", "last_on", "phone")
        order_by = "name"

    def render_owed(self, value):
        return self.columns["owed"].column.render(value) if value else ""
