"""The availability list as a table."""

import django_tables2 as tables
from django.template.loader import render_to_string
from django.utils.safestring import mark_safe

from inventory.size_words import told_size
from nursery.listing import ListTable, MoneyColumn, NumberColumn
from sales.rights_of_pages import PRICES


class AvailabilityTable(ListTable):
    """Plants that are free to sell, with their lots behind a tap."""

    plant = tables.Column(order_by="plant__search_key")
    common_name = tables.Column(
        accessor="plant__common_name", visible=False, exclude_from_export=False
    )
    container = tables.Column(order_by="container__position")
    grade = tables.Column()
    size = tables.Column(default="", verbose_name="Size")
    available = NumberColumn()
    price = MoneyColumn(verbose_name="Price each", default="no price yet", asks=PRICES)
    ready_on = tables.DateColumn(format="j M Y", verbose_name="Ready from", default="now")
    lots = tables.Column(
        orderable=False, exclude_from_export=True, attrs={"cell": {"class": "no-print"}}
    )

    caption = "Plants free to sell"

    class Meta:
        order_by = ()

    def before_render(self, request):
        if not any(row.record.grade for row in self.paginated_rows):
            self.columns.hide("grade")
        if not any(row.record.size for row in self.paginated_rows):
            self.columns.hide("size")
        if request.GET.get("container"):
            self.columns.hide("container")
        if not any(row.record.ready_on for row in self.paginated_rows):
            self.columns.hide("ready_on")

    def render_plant(self, value):
        return mark_safe(render_to_string("partials/plant_name.html", {"plant": value}))

    def render_size(self, value, record):
        return told_size(value, record.plant)

    def value_plant(self, value):
        return value.name

    def render_lots(self, value, record):
        return mark_safe(render_to_string("sales/_free_lots.html", {"lots": value, "line": record}))
