"""What the stock is worth: at cost, at lower of cost and what it would leave, at farm price."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from inventory.own_time import counted_in
from inventory.queries.lots import lot_rows
from inventory.queries.stock_cost import cost_by_container
from nursery.listing import list_page
from sales.forms.valuation import ValuationForm
from sales.queries.valuation import Item, items_in_stock, total_of
from sales.tables.valuation import ItemTable, ValuationTable


@dataclass(frozen=True)
class ItemRow:
    """An item as the page shows it: what it would leave, its value, what was typed."""

    item: Item
    leaves: Decimal | None
    value: Decimal | None
    typed: str


@require_safe
def valuation(request: HttpRequest) -> HttpResponse:
    """Show what the plants in stock are worth, now or at the end of a day."""
    form = ValuationForm(request.GET)
    context = {"place": "books", "form": form, "day": form.day or date.today(), "way": form.way}
    if form.way == "cost":
        return _at_cost(request, form, context)
    return _by_item(request, form, context)


def _at_cost(request, form, context):
    rows = [row for row in lot_rows(form.day, counted_in(request)) if row.on_hand or row.cost]
    context |= {
        "plants": sum(row.on_hand for row in rows),
        "value": sum(row.cost for row in rows),
        "containers": cost_by_container(rows),
    }
    return list_page(
        request,
        ValuationTable,
        rows,
        template="sales/valuation.html",
        context=context,
        export_name="valuation",
    )


def _by_item(request, form, context):
    way, items = form.way, items_in_stock(form.day, form.terms, counted_in(request))
    context |= {
        "plants": sum(item.on_hand for item in items),
        "cost": total_of(items, "cost"),
        "value": total_of(items, way),
        "unpriced": [item for item in items if item.price is None],
        "written_down": sum(bool(item.write_down) for item in items),
    }
    context["unpriced_cost"] = total_of(context["unpriced"], "cost")
    context["write_down"] = context["cost"] - context["value"]
    rows = [
        ItemRow(
            item,
            item.realisable if way == "lower" else item.farm_price,
            item.value(way),
            form.typed_of(item),
        )
        for item in items
    ]
    return list_page(
        request,
        lambda found: ItemTable(found, exclude=() if way == "lower" else ("complete",)),
        rows,
        template="sales/valuation.html",
        context=context,
        export_name=f"valuation-{way}",
    )
