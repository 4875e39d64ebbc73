"""The list of lots."""

import django_tables2 as tables
from django.db.models import Case, F, FloatField, Value, When
from django.db.models.functions import Cast

from inventory.queries.ages import age_of
from inventory.rights_of_pages import COSTS
from inventory.size_words import size_of
from inventory.tables.columns import CodeColumn, PlantColumn
from nursery.listing import ListTable, MoneyColumn, NumberColumn, UnitCostColumn

PLACE = {"td": {"class": "place"}}
AGE = {"td": {"class": "age whole unlabelled last"}}
EACH = Case(
    When(on_hand__gt=0, then=Cast("cost", FloatField()) / Cast("on_hand", FloatField())),
    default=Value(0.0),
)


class EachColumn(UnitCostColumn):
    """The cost of one plant, from the cost of all; an empty lot has none."""

    def render(self, value, record):
        return super().render(value / record.on_hand) if record.on_hand else ""

    def value(self, value, record):
        return super().value(value / record.on_hand) if record.on_hand else ""


class LotTable(ListTable):
    """One row a lot."""

    code = CodeColumn("inventory:lot", verbose_name="Lot")
    plant = PlantColumn()
    container = tables.Column(order_by=("container__position", "container__code"))
    grade = tables.Column()
    size = tables.Column(
        accessor="balance__size",
        order_by="balance__measurement__lower_mm",
        verbose_name="Size",
    )
    place = tables.Column(accessor="balance__place", default="", attrs=PLACE)
    age = tables.Column(empty_values=(), order_by=("began_on", "transplanted_on"), attrs=AGE)
    on_hand = NumberColumn()
    unit_cost = EachColumn(verbose_name="Cost each", accessor="cost", asks=COSTS)
    cost = MoneyColumn(verbose_name="Cost", asks=COSTS)

    caption = "Lots with their plants, place and age"
    empty_text = "No lot matches. Take a filter away, or look among the empty lots too."

    class Meta:
        order_by = "code"

    def before_render(self, request):
        if not any(row.record.grade for row in self.paginated_rows):
            self.columns.hide("grade")
        if not any(row.record.balance.size for row in self.paginated_rows):
            self.columns.hide("size")

    def render_size(self, record):
        return size_of(record)

    def render_age(self, record):
        return age_of(record)

    def order_unit_cost(self, rows, is_descending):
        """Order by the cost of one plant, in the database."""
        each = F("each").desc() if is_descending else F("each").asc()
        return rows.annotate(each=EACH).order_by(each, "code"), True


class OnePlantLotTable(LotTable):
    """The lots of one plant, on the page that names it."""

    class Meta:
        exclude = ("plant",)
        order_by = "code"
