"""Plants lost, as a table."""

import django_tables2 as tables

from nursery.listing import ListTable, MoneyColumn, NumberColumn
from nursery.templatetags.nursery_tags import plant_name


class LossTable(ListTable):
    """One row for what a lot lost to a cause on a day, the latest first."""

    date = tables.DateColumn(format="j M Y")
    lot = tables.Column(attrs={"cell": {"class": "code"}})
    plant = tables.Column()
    cause = tables.Column(accessor="cause_name")
    quantity = NumberColumn(verbose_name="Lost")
    normal = NumberColumn(verbose_name="Expected")
    abnormal = NumberColumn(verbose_name="Beyond expected")
    expensed = MoneyColumn()

    caption = "Plants lost"

    class Meta:
        order_by = ("-date",)

    def render_plant(self, value):
        return plant_name(value)

    def value_date(self, value):
        return value
