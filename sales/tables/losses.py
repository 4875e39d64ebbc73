"""Plants lost, as a table."""

import django_tables2 as tables

from nursery.listing import ListTable, MoneyColumn, NumberColumn
from nursery.templatetags.nursery_tags import amount_without_sign, plain, plant_name

NOTHING = "–"


def figure(name: str, words: str) -> dict:
    """Return the attributes of a number: a phone shows it in a line with these words, if any."""

    def kind(record):
        return "number" if getattr(record, name) else "number nothing-of-it"

    return {"cell": {"class": "number"}, "td": {"class": kind, "data-words": words}}


class LossTable(ListTable):
    """One row for what a lot lost to a cause on a day, the latest first."""

    plant = tables.Column()
    lot = tables.Column(attrs={"cell": {"class": "code"}})
    date = tables.DateColumn(format="j M Y", attrs={"cell": {"class": "code"}})
    cause = tables.Column(accessor="cause_name", attrs={"cell": {"class": "line-end"}})
    quantity = NumberColumn(verbose_name="Lost", attrs=figure("quantity", "lost"))
    normal = NumberColumn(verbose_name="Expected", attrs=figure("normal", "expected"))
    abnormal = NumberColumn(verbose_name="Beyond expected", attrs=figure("abnormal", "beyond"))
    expensed = MoneyColumn(verbose_name="Expensed", attrs=figure("expensed", "expensed"))

    caption = "Plants lost"

    class Meta:
        attrs = {"class": "in-lines"}
        order_by = ("-date",)

    def render_plant(self, value):
        return plant_name(value)

    def render_abnormal(self, value):
        return plain(value) if value else NOTHING

    def render_expensed(self, value):
        return amount_without_sign(value) if value else NOTHING

    def value_abnormal(self, value):
        return value

    def value_expensed(self, value):
        return value

    def value_date(self, value):
        return value
