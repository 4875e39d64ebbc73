"""What is owed by age, one row a buyer."""

import django_tables2 as tables
from django.urls import reverse

from nursery.listing import ListTable, MoneyColumn
from nursery.templatetags.nursery_tags import amount_without_sign
from sales.ages import AGES


class AmountColumn(MoneyColumn):
    """An amount, or nothing where there is none."""

    def render(self, value):
        return super().render(value) if value else ""


def _column(words, accessor, read):
    def footer(table):
        return amount_without_sign(sum(read(row) for row in table.data.data))

    return AmountColumn(verbose_name=words, accessor=accessor, footer=footer)


class OwedTable(ListTable):
    """What each buyer owes: not due yet, and by the days past due."""

    name = tables.Column(
        verbose_name="Buyer",
        linkify=lambda record: (
            reverse("sales:statement", args=[record.buyer.pk]) if record.buyer else None
        ),
        footer="All",
    )
    owed = _column("Owed", "owed", lambda row: row.owed)
    current, days_1, days_31, days_61, days_91 = (
        _column(age.words.capitalize(), f"sums__{age.key}", lambda row, k=age.key: row.sums[k])
        for age in AGES
    )
    on_account = _column("On account", "on_account", lambda row: row.on_account)

    caption = "What is owed, by the days past due"
    empty_text = "Nobody owes anything."

    class Meta:
        attrs = {"class": "many-columns"}
