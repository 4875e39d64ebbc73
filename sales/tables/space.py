"""What places were used for, in the units of the nursery."""

from dataclasses import dataclass
from fractions import Fraction

import django_tables2 as tables

from inventory.forms.catalogue import SQUARE_METRES_IN_SQUARE_FOOT
from inventory.queries.space import Space
from nursery.listing import ListTable, MoneyColumn, NumberColumn, PercentColumn, exact
from nursery.templatetags.nursery_tags import amount_without_sign, plain, unit_cost

DAYS_OF_A_WEEK = 7
THE_WHOLE = "The whole nursery"


@dataclass(frozen=True)
class Measured:
    """A place's space in square metres or feet, and in weeks."""

    name: str
    depth: int
    area: Fraction | None
    used_percent: Fraction | None
    used: Fraction
    unused: Fraction | None
    cost: Fraction
    each: Fraction | None


def measured(space: Space, *, in_feet: bool) -> Measured:
    """Return a place's space in the units a grower speaks in."""
    unit = Fraction(SQUARE_METRES_IN_SQUARE_FOOT) if in_feet else Fraction(1)
    weeks = unit * DAYS_OF_A_WEEK
    each = space.cost_per_area_day
    return Measured(
        name=str(space.place or THE_WHOLE),
        depth=space.depth,
        area=None if space.area is None else Fraction(space.area) / unit,
        used_percent=space.used_percent,
        used=space.used_area_days / weeks,
        unused=None if space.unused_area_days is None else space.unused_area_days / weeks,
        cost=space.cost,
        each=None if each is None else each * weeks,
    )


class AreaColumn(NumberColumn):
    """An area, or an area times weeks, to a whole unit."""

    def render(self, value):
        return plain(round(exact(value))) if value >= 1 or not value else "under 1"


class SpaceTable(ListTable):
    """One row a place, its parts beneath it."""

    name = tables.Column(verbose_name="Place", attrs={"cell": {"class": "code"}})
    area = AreaColumn(verbose_name="Area")
    used_percent = PercentColumn(verbose_name="Used, %")
    used = AreaColumn(verbose_name="Used")
    unused = AreaColumn(verbose_name="Unused")
    cost = MoneyColumn(verbose_name="Cost")
    each = MoneyColumn(verbose_name="Each")

    caption = "What each place was used for"
    empty_text = "No place was entered yet."

    class Meta:
        orderable = False

    def __init__(self, *args, in_feet: bool = False, **kwargs):
        super().__init__(*args, **kwargs)
        unit = "ft²" if in_feet else "m²"
        names = {
            "area": f"Area, {unit}",
            "used": f"Used, {unit} × weeks",
            "unused": f"Unused, {unit} × weeks",
            "each": f"A {unit} for a week",
        }
        for column, words in names.items():
            self.columns[column].column.verbose_name = words

    def render_name(self, value, record):
        return f"{'– ' * record.depth}{value}"

    def value_name(self, value):
        return value

    def render_cost(self, value):
        return amount_without_sign(exact(value)) if value else ""

    def value_cost(self, value):
        return exact(value)

    def render_each(self, value):
        return unit_cost(exact(value), "column") if value else ""

    def value_each(self, value):
        return exact(value)
