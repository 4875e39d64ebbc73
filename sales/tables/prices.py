"""The price list as a file. The page has forms in its rows and a table of its own."""

import django_tables2 as tables

from nursery.listing import ListTable, MoneyColumn, NumberColumn, PercentColumn, UnitCostColumn


class PriceTable(ListTable):
    """One row a plant and container."""

    plant = tables.Column(order_by="plant__search_key")
    container = tables.Column()
    amount = MoneyColumn(verbose_name="Price")
    since = tables.DateColumn(format="Y-m-d")
    unit_cost = UnitCostColumn(verbose_name="Costs now")
    margin = PercentColumn(verbose_name="Margin, % of price")
    on_hand = NumberColumn(verbose_name="On hand")
