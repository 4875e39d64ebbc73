"""What the plants in stock have cost, as a table."""

import django_tables2 as tables

from nursery.listing import ListTable, MoneyColumn, NumberColumn, UnitCostColumn
from nursery.templatetags.nursery_tags import plant_name


class ValuationTable(ListTable):
    """One row for each lot that holds plants or cost."""

    lot = tables.Column(accessor="lot.code", attrs={"cell": {"class": "code"}})
    plant = tables.Column(accessor="lot.plant.name", order_by="lot.plant.search_key")
    container = tables.Column(
        accessor="lot.container.code", order_by="lot.container.position"
    )
    place = tables.Column(accessor="place", default="")
    age_class = tables.Column(verbose_name="Age")
    on_hand = NumberColumn(verbose_name="On hand")
    cost = MoneyColumn(verbose_name="Cost")
    unit_cost = UnitCostColumn(verbose_name="Cost each")

    caption = "Plants in stock and their cost"

    def render_plant(self, value):
        return plant_name(value)
