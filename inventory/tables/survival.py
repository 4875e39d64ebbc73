"""The list of groups of plants and how many of them live."""

import django_tables2 as tables
from django.utils.html import format_html

from inventory.queries.survival_rows import By
from inventory.tables.columns import WHOLE
from inventory.tables.rooting import BoundsColumn
from nursery.listing import ListTable, NumberColumn, PercentColumn
from nursery.templatetags.nursery_tags import plant_name, query_replace

HIDDEN = {"visible": False, "empty_values": (None,)}


class SurvivalTable(ListTable):
    """One row a group. Of winters it says who came out, else who lived a year and two."""

    name = tables.Column(attrs=WHOLE)
    came = NumberColumn(verbose_name="Plants")
    lost = NumberColumn()
    alive = PercentColumn(accessor="shown__percent", verbose_name="Alive in a year")
    likely = BoundsColumn(accessor="shown__likely")
    low = PercentColumn(accessor="shown__low", verbose_name="Likely from", **HIDDEN)
    high = PercentColumn(accessor="shown__high", verbose_name="Likely to", **HIDDEN)
    later = PercentColumn(accessor="later__percent", verbose_name="In two")

    caption = "Plants that live, by what they have in common"
    empty_text = "No plants match."

    def __init__(self, *args, by: By, words: str, **kwargs):
        self.by = by
        super().__init__(*args, **kwargs)
        self.columns["name"].column.verbose_name = words
        if by.is_winter:
            self.columns["alive"].column.verbose_name = "Came out alive"
            self.columns.hide("later")

    def render_name(self, value, record):
        if self.by != By.PLANT:
            return value if record.is_over else f"{value}, so far"
        more = query_replace({"request": self.request}, plant=record.key, by=None, sort=None)
        return format_html('<a href="{}">{}</a>', more, plant_name(value))
