"""The prices in force as a file. The page is a sheet of its own."""

import django_tables2 as tables

from inventory.rights_of_pages import COSTS
from nursery.listing import ListTable, MoneyColumn, NumberColumn, PercentColumn, UnitCostColumn


class PriceTable(ListTable):
    """One row a price."""

    caption = "Prices in force"
    empty_text = "No price is set yet."

    list = tables.Column()
    plant = tables.Column(order_by="plant__search_key")
    container = tables.Column()
    grade = tables.Column()
    from_quantity = NumberColumn(verbose_name="From")
    price = MoneyColumn()
    since = tables.DateColumn(format="Y-m-d")
    unit_cost = UnitCostColumn(verbose_name="Costs now", asks=COSTS)
    margin_percent = PercentColumn(verbose_name="Margin, % of price", asks=COSTS)
