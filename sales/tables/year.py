"""The year sheet as a table and as a file."""

import django_tables2 as tables

from nursery.listing import ListTable, MoneyColumn, NumberColumn
from nursery.templatetags.nursery_tags import amount_without_sign, plain, plant_name


def _sum(name, write):
    """Return a footer: the sum of a column over all rows, not only those shown."""
    return lambda table: write(sum(getattr(row, name) for row in table.data.data))


def _plants(name, words):
    return NumberColumn(verbose_name=words, accessor=name, footer=_sum(name, plain))


def _money(name, words):
    return MoneyColumn(verbose_name=words, accessor=name, footer=_sum(name, amount_without_sign))


BORNE_BY_NONE = "Unused space, missing supplies"
PLANTS = (
    "opening_plants",
    "started",
    "bought",
    "found",
    "potted_in",
    "potted_out",
    "sold",
    "lost",
    "used",
    "given",
    "closing_plants",
)
COSTS = (
    "opening_cost",
    "cost_added",
    "moved_cost",
    "cost_of_sales",
    "expensed",
    "closing_cost",
)


class YearTable(ListTable):
    """One row for each plant and container that had any plants or cost.

    A page shows its plants and its cost as two tables; a file has both in one.
    """

    plant = tables.Column(
        accessor="plant__name",
        order_by="plant__search_key",
        default=BORNE_BY_NONE,
        attrs={"cell": {"class": "whole"}},
        footer="All",
    )
    container = tables.Column(
        accessor="container__code", order_by="container__position", default=""
    )
    opening_plants = _plants("opening_plants", "Opening")
    started = _plants("started", "Begun")
    bought = _plants("bought", "Bought in")
    found = _plants("found", "Found")
    potted_in = _plants("potted_in", "Potted in")
    potted_out = _plants("potted_out", "Potted out")
    sold = _plants("sold", "Sold")
    lost = _plants("lost", "Lost")
    used = _plants("used", "Used")
    given = _plants("given", "Given")
    closing_plants = _plants("closing_plants", "Closing")
    opening_cost = _money("opening_cost", "Opening cost")
    cost_added = _money("cost_added", "Cost added")
    moved_cost = _money("moved_cost", "Moved in, net")
    cost_of_sales = _money("cost_of_sales", "Cost of sales")
    expensed = _money("expensed", "Expensed")
    closing_cost = _money("closing_cost", "Closing cost")

    caption = "Plants and cost by plant and container"

    class Meta:
        attrs = {"class": "many-columns"}

    def render_plant(self, value):
        return plant_name(value)
