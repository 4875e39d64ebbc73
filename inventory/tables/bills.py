"""Bills, and the parts of one, as tables."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from inventory.queries.wording import CATEGORY_WORDS
from inventory.tables.columns import CODE
from nursery.listing import ListTable, MoneyColumn
from nursery.templatetags.nursery_tags import amount_without_sign, plant_name


class BillTable(ListTable):
    """One row a bill, the latest days first."""

    category = tables.Column(verbose_name="What for")
    place = tables.Column(verbose_name="Where", default="the whole nursery")
    first_day = tables.DateColumn(format="j M Y", attrs=CODE)
    last_day = tables.DateColumn(format="j M Y", attrs=CODE)
    amount = MoneyColumn(verbose_name="Amount")
    unused_amount = MoneyColumn(verbose_name="Unused, expensed")
    basis = tables.Column(verbose_name="Shared", attrs=CODE)
    state = tables.Column(empty_values=(), orderable=False)

    caption = "Bills, the latest days first"
    empty_text = "No bill was entered yet."

    def render_category(self, value, record):
        words = CATEGORY_WORDS[value].capitalize()
        return format_html(
            '<a href="{}">{}</a>', reverse("inventory:bill", args=[record.pk]), words
        )

    def value_category(self, value):
        return value

    def render_unused_amount(self, value):
        return amount_without_sign(value) if value else ""

    def value_unused_amount(self, value):
        return value

    def value_first_day(self, value):
        return value

    def value_last_day(self, value):
        return value

    def render_state(self, record):
        if hasattr(record, "reversed_by"):
            return format_html('<span class="state lost">{}</span>', "undone")
        return ""

    def value_state(self, record):
        return "undone" if hasattr(record, "reversed_by") else ""


class BillPartTable(ListTable):
    """One row for what a lot bears of a bill."""

    plant = tables.Column(
        verbose_name="Plant", accessor="lot__plant__name", order_by="lot__plant__search_key"
    )
    lot = tables.Column(attrs=CODE, order_by="lot__code")
    container = tables.Column(accessor="lot__container")
    date = tables.DateColumn(verbose_name="Charged on", format="j M Y", attrs=CODE)
    amount = MoneyColumn(verbose_name="Part")

    caption = "What each lot bears"
    empty_text = "No lot bears any of it."

    def render_plant(self, value):
        return plant_name(value)

    def render_lot(self, value):
        return format_html('<a href="{}">{}</a>', reverse("inventory:lot", args=[value.pk]), value)

    def value_lot(self, value):
        return str(value)

    def value_date(self, value):
        return value
