"""The journal as a table and as a file."""

import django_tables2 as tables

from nursery.listing import ListTable, MoneyColumn


class SideColumn(MoneyColumn):
    """One side of a line: an amount, or nothing where it stands on the other."""

    def render(self, value):
        return super().render(value) if value else ""


class JournalTable(ListTable):
    """One row for each line; the lines of an entry stand together."""

    date = tables.DateColumn(format="Y-m-d")
    entry = tables.Column(attrs={"cell": {"class": "code"}})
    code = tables.Column()
    account = tables.Column()
    debit = SideColumn(verbose_name="Debit")
    credit = SideColumn(verbose_name="Credit")
    text = tables.Column(attrs={"cell": {"class": "whole"}})
    document = tables.Column(attrs={"cell": {"class": "code"}})

    caption = "Lines of the journal"

    class Meta:
        orderable = False
