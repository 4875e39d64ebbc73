"""The lists about rooting: groups of batches, and batches in the order they were stuck."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from inventory.tables.columns import CODE, WHOLE
from nursery.listing import ListTable, NumberColumn, PercentColumn
from nursery.templatetags.nursery_tags import plain, plant_name, query_replace


class BoundsColumn(NumberColumn):
    """Two bounds in one cell; in a file each has a column of its own."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs, orderable=False, exclude_from_export=True)

    def render(self, value):
        return f"{value[0]:.0f} to {value[1]:.0f}%"


class RootingTable(ListTable):
    """One row a group of batches."""

    name = tables.Column(attrs=WHOLE)
    batches = NumberColumn()
    percent = PercentColumn(accessor="strike__percent", verbose_name="Strike")
    likely = BoundsColumn()
    low = PercentColumn(verbose_name="Likely from", visible=False)
    high = PercentColumn(verbose_name="Likely to", visible=False)
    rooted = NumberColumn(accessor="strike__rooted", empty_values=(None,))
    counted = NumberColumn(accessor="strike__counted", verbose_name="of those counted")
    waiting = NumberColumn(accessor="strike__waiting", verbose_name="Not counted yet")

    caption = "How many rooted, by what the batches have in common"
    empty_text = "No batch matches."

    def __init__(self, *args, by: str, words: str, **kwargs):
        self.by = by
        super().__init__(*args, **kwargs)
        self.columns["name"].column.verbose_name = words

    def render_name(self, value, record):
        if self.by != "plant":
            return value
        more = query_replace({"request": self.request}, plant=record.key, by=None, sort=None)
        return format_html('<a href="{}">{}</a>', more, plant_name(value))

    def render_rooted(self, value):
        return plain(round(value))


class ChartedTable(ListTable):
    """One row a counted batch, the newest first."""

    code = tables.Column(accessor="batch__code", verbose_name="Batch", attrs=CODE)
    on = tables.DateColumn(accessor="batch__started_on", format="j M Y", attrs=CODE)
    percent = PercentColumn(verbose_name="Strike")
    counted = NumberColumn(accessor="batch__strike__counted", verbose_name="of those counted")
    usual = BoundsColumn(accessor="limits_percent")
    least = PercentColumn(verbose_name="Usual from", visible=False)
    most = PercentColumn(verbose_name="Usual to", visible=False)
    state = tables.Column(empty_values=(), orderable=False)

    caption = "Batches against what is usual"
    empty_text = "No batch was counted yet."

    class Meta:
        order_by = "-on"

    def render_code(self, value, record):
        address = reverse("inventory:batch", args=[record.batch.pk])
        return format_html('<a href="{}">{}</a>', address, value)

    def value_code(self, value):
        return value

    def render_state(self, record):
        return "unusually low" if record.is_low else "unusually high" if record.is_high else "usual"
