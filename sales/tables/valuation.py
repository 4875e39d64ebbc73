"""What the plants in stock have cost, as a table."""

import django_tables2 as tables

from nursery.listing import ListTable, MoneyColumn, NumberColumn, UnitCostColumn
from nursery.templatetags.nursery_tags import plant_name


class ValuationTable(ListTable):
    """One row for each lot that holds plants or cost."""

    lot = tables.Column(accessor="lot__code", attrs={"cell": {"class": "code"}})
    plant = tables.Column(
        accessor="lot__plant__name",
        order_by="lot__plant__search_key",
        attrs={"cell": {"class": "whole"}},
    )
    container = tables.Column(accessor="lot__container__code", order_by="lot__container__position")
    place = tables.Column(accessor="place", default="")
    age_class = tables.Column(verbose_name="Age")
    on_hand = NumberColumn(verbose_name="On hand")
    cost = MoneyColumn(verbose_name="Cost")
    unit_cost = UnitCostColumn(verbose_name="Cost each")

    caption = "Plants in stock and their cost"

    def render_plant(self, value):
        return plant_name(value)
