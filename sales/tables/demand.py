"""What sold of each plant, and what may sell next, as a table."""

from urllib.parse import urlencode

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from nursery.listing import ListTable, NumberColumn
from nursery.templatetags.nursery_tags import plain, plant_name

TOLD = ("Sold", "Year before", "Third year")
LAST = ("expected", "between", "free", "enough", "to_begin")


class DemandTable(ListTable):
    """One row for each plant and container that was ever sold."""

    plant = tables.Column(linkify=lambda record: reverse("inventory:plant", args=[record.plant.pk]))
    container = tables.Column()
    expected = NumberColumn(verbose_name="Next year")
    between = tables.Column(verbose_name="Between", empty_values=(), orderable=False)
    free = NumberColumn(verbose_name="Free")
    enough = NumberColumn(verbose_name="Have")
    to_begin = NumberColumn(verbose_name="To begin")

    caption = "What may sell"

    class Meta:
        order_by = ()
        sequence = ("plant", "container", "...", *LAST)

    def __init__(self, rows, *args, years: int, **kwargs):
        sold = [(f"year_{back}", _sold_in(back)) for back in range(min(years, len(TOLD)))]
        super().__init__(rows, *args, extra_columns=sold, **kwargs)

    def render_plant(self, record):
        return plant_name(record.plant)

    def value_plant(self, record):
        return str(record.plant)

    def render_to_begin(self, record):
        if not record.to_begin:
            return plain(0)
        wanted = {
            "plant": record.plant.pk,
            "container": record.container.pk,
            "quantity": record.to_begin,
        }
        address = f"{reverse('inventory:target-add')}?{urlencode(wanted)}"
        return format_html(
            '<a class="alone" href="{}">Plan {}</a>', address, plain(record.to_begin)
        )

    def render_between(self, record):
        return "" if record.low is None else f"{plain(record.low)} to {plain(record.high)}"

    def value_between(self, record):
        return "" if record.low is None else f"{record.low}–{record.high}"


def _sold_in(back):
    return NumberColumn(verbose_name=TOLD[back], accessor=f"years__{-1 - back}")
