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


class ItemTable(ListTable):
    """One row for each plant and container in stock, valued by itself."""

    plant = tables.Column(
        accessor="item__plant__name",
        order_by="item__plant__search_key",
        attrs={"cell": {"class": "whole"}},
    )
    container = tables.Column(
        accessor="item__container__code", order_by="item__container__position"
    )
    on_hand = NumberColumn(verbose_name="On hand", accessor="item__on_hand")
    cost = MoneyColumn(verbose_name="Cost", accessor="item__cost")
    price = MoneyColumn(verbose_name="Price each", accessor="item__price", default="no price")
    leaves = MoneyColumn(verbose_name="Would leave", default="")
    value = MoneyColumn(verbose_name="Value", default="not valued")
    complete = tables.TemplateColumn(
        template_name="sales/_to_complete.html",
        verbose_name="To complete, each",
        orderable=False,
        exclude_from_export=True,
    )

    caption = "Plants in stock, each plant and container valued by itself"

    def render_plant(self, value):
        return plant_name(value)
