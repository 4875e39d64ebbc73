"""The list of batches."""

import django_tables2 as tables

from inventory.tables.columns import CODE, CodeColumn, PlantColumn
from nursery.listing import ListTable, NumberColumn, PercentColumn


class BatchTable(ListTable):
    """One row a batch. The strike is looked up for the rows that are shown."""

    code = CodeColumn("inventory:batch", verbose_name="Batch")
    plant = PlantColumn()
    kind = tables.Column(verbose_name="Begun as", attrs=CODE)
    started_on = tables.DateColumn(verbose_name="On", format="j M Y", attrs=CODE)
    begun = NumberColumn(verbose_name="Begun with")
    rooted = NumberColumn(accessor="strike__rooted", orderable=False, empty_values=(None,))
    percent = PercentColumn(
        accessor="strike__percent", verbose_name="Strike, of those begun", orderable=False
    )

    caption = "Batches with how many rooted"
    empty_text = "No batch matches."

    class Meta:
        order_by = "-started_on"

    def value_started_on(self, value):
        return value
