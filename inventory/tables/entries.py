"""The list of everything that was entered."""

import django_tables2 as tables
from django.template.loader import render_to_string
from django.utils.html import format_html

from inventory.tables.columns import CODE, WHOLE
from nursery.listing import ListTable


class EntryTable(ListTable):
    """One row an operation. What it did is looked up for the rows that are shown."""

    what = tables.Column(accessor="entry__text", orderable=False, attrs=WHOLE)
    date = tables.DateColumn(verbose_name="Date", format="j M Y", attrs=CODE)
    entered_at = tables.DateTimeColumn(verbose_name="Entered", format="j M Y, H:i")
    entered_by = tables.Column(verbose_name="By", default="", orderable=False)
    note = tables.Column(default="", orderable=False, attrs={"td": {"class": "whole"}})
    undo = tables.Column(
        empty_values=(),
        orderable=False,
        verbose_name="Undo",
        exclude_from_export=True,
        attrs={"td": {"class": "unlabelled"}},
    )

    caption = "Everything entered, newest first"
    empty_text = "Nothing was entered that matches."

    def render_what(self, record):
        entry = record.entry
        said = format_html("<s>{}</s>", entry.text) if entry.is_undone else entry.text
        return format_html('<a href="{}">{}</a>', entry.url, said) if entry.url else said

    def value_what(self, record):
        return f"{record.entry.text} (undone)" if record.entry.is_undone else record.entry.text

    def value_date(self, value):
        return value

    def render_undo(self, record):
        return render_to_string(
            "inventory/_undo_cell.html", {"entry": record.entry}, request=self.request
        )
