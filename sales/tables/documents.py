"""The list of invoices, receipts and credit notes."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from nursery.listing import ListTable, MoneyColumn

ONE_LINE = {"cell": {"class": "code"}}


class DocumentTable(ListTable):
    """One row a document, with what is open on it and its state in words."""

    number = tables.Column(linkify=lambda record: reverse("sales:document", args=[record.pk]))
    date = tables.DateColumn(format="j M Y", attrs=ONE_LINE)
    buyer = tables.Column(default="walk-in", order_by=("buyer__name", "-date"))
    full = MoneyColumn(verbose_name="Total")
    open = MoneyColumn(verbose_name="Open")
    due_on = tables.DateColumn(format="j M Y", verbose_name="Due", default="", attrs=ONE_LINE)
    state = tables.Column(empty_values=(), orderable=False)

    caption = "Invoices, receipts and credit notes"

    class Meta:
        fields = ("number", "date", "buyer", "full", "open", "due_on", "state")

    def render_full(self, value, record):
        written = self.columns["full"].column.render(value)
        return f"−{written}" if record.is_credit else written

    def value_full(self, value, record):
        return -value if record.is_credit else value

    def render_open(self, value):
        return self.columns["open"].column.render(value) if value else ""

    def render_due_on(self, value, record):
        return f"{value.day} {value:%b %Y}" if record.open > 0 else ""

    def render_state(self, record):
        word, shape = state_of(record)
        return format_html('<span class="state {}">{}</span>', shape, word)

    def value_state(self, record):
        return state_of(record)[0]


def state_of(record) -> tuple[str, str]:
    """Return a listed document's state in words, and the shape that goes with it."""
    if record.cancelled:
        return ("cancelled, to pay back" if record.open < 0 else "cancelled"), "lost"
    if record.is_credit:
        return f"corrects {record.corrects}", ""
    if record.open < 0:
        return "to pay back", "held"
    if record.open:
        return ("partly paid" if record.paid else "open"), "held"
    return "paid", "ready"
