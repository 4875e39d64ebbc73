"""The list of plants."""

import django_tables2 as tables
from django.template.loader import render_to_string
from django.urls import reverse

from nursery.listing import ListTable, NumberColumn


class PlantTable(ListTable):
    """One row a kind of plant."""

    name = tables.Column(verbose_name="Plant", order_by="search_key")
    on_hand = NumberColumn()
    for_sale = NumberColumn(verbose_name="For sale")
    standing = NumberColumn(verbose_name="Lots")

    caption = "Plants and how many are on hand"
    empty_text = "No plant matches."

    class Meta:
        order_by = "name"

    def render_name(self, record):
        context = {"plant": record, "url": reverse("inventory:plant", args=[record.pk])}
        return render_to_string("partials/plant_name.html", context)

    def value_name(self, record):
        return record.name
