"""The list of supplies, and the list of one supply's entries."""

import django_tables2 as tables
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.html import format_html

from inventory.queries.supply_page import can_undo, is_undone, measured
from inventory.tables.columns import CODE, WHOLE
from nursery.listing import ListTable, MoneyColumn, NumberColumn, UnitCostColumn
from nursery.templatetags.nursery_tags import plain


class QuantityColumn(NumberColumn):
    """A quantity of a supply, as one would measure it; exact in a file."""

    def render(self, value):
        return measured(value)


class SupplyTable(ListTable):
    """One row a supply."""

    name = tables.Column(verbose_name="Supply", attrs=WHOLE)
    on_hand = QuantityColumn(verbose_name="On hand")
    unit = tables.Column(accessor="supply__get_unit_display", verbose_name="Unit")
    unit_price = UnitCostColumn(verbose_name="Average price")
    value = MoneyColumn(verbose_name="Value")
    reorder_at = NumberColumn(verbose_name="Order again at")
    packs_to_buy = NumberColumn(verbose_name="To buy", empty_values=())

    caption = "Supplies, what is there and what to order"
    empty_text = "No supply yet."

    class Meta:
        order_by = "name"

    def render_name(self, value, record):
        address = reverse("inventory:supply", args=[record.pk])
        linked = format_html('<a href="{}">{}</a>', address, value)
        if not record.is_low:
            return linked
        return format_html('{} <span class="state lost">{}</span>', linked, "order")

    def value_name(self, value):
        return value

    def render_packs_to_buy(self, record):
        return to_buy(record)

    def value_packs_to_buy(self, record):
        return record.packs_to_buy


class SupplyEntryTable(ListTable):
    """One row an entry of one supply. What used it is looked up for the rows that are shown."""

    what = tables.Column(empty_values=(), orderable=False, attrs=WHOLE)
    date = tables.DateColumn(verbose_name="Date", format="j M Y", attrs=CODE)
    quantity = QuantityColumn()
    amount = MoneyColumn()
    note = tables.Column(default="", orderable=False, attrs={"td": {"class": "whole"}})
    undo = tables.Column(
        empty_values=(),
        orderable=False,
        verbose_name="Undo",
        exclude_from_export=True,
        attrs={"td": {"class": "unlabelled"}},
    )

    caption = "What came in and went out, newest first"
    empty_text = "Nothing was bought, used or counted yet."

    def __init__(self, *args, unit: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.columns["quantity"].column.verbose_name = unit.capitalize()

    def render_what(self, record):
        said = format_html("<s>{}</s>", record.told) if is_undone(record) else record.told
        return (
            format_html('<a href="{}">{}</a>', record.told_url, said) if record.told_url else said
        )

    def value_what(self, record):
        return f"{record.told} (undone)" if is_undone(record) else record.told

    def value_date(self, value):
        return value

    def render_undo(self, record):
        context = {"entry": record, "can_undo": can_undo(record), "is_undone": is_undone(record)}
        return render_to_string("inventory/_supply_undo.html", context, request=self.request)


def to_buy(row) -> str:
    """Say what to buy: so many packs of so much, or so many units."""
    if not row.is_low:
        return ""
    pack = row.supply.pack_size
    if not pack:
        return f"{plain(row.packs_to_buy)} {row.supply.get_unit_display()}"
    return f"{plain(row.packs_to_buy)} × {plain(pack)}"
