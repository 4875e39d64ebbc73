"""Supplies on hand, what they cost, and what a recipe takes."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum
from django.db.models.functions import Coalesce

from inventory.costing.supplies import cost_of_use, loose_volume
from inventory.models import Container, Person, Plant, Recipe, Supply, SupplyEntry
from nursery.fields import QuantityField
from nursery.money import from_millionths, round_half_up, to_millionths


@dataclass(frozen=True)
class OnHand:
    """What is there of a supply, what it cost, and the price last paid for a unit."""

    quantity: Decimal
    value: Decimal
    last_price: Fraction

    @property
    def price(self) -> Fraction:
        """The moving average of a unit, or the last price where nothing is there."""
        if self.quantity > 0 and self.value > 0:
            return Fraction(self.value) / Fraction(self.quantity)
        return self.last_price


def on_hand_of(supply: Supply) -> OnHand:
    """Return what is there of a supply now."""
    nothing = Decimal(0)
    sums = supply.entries.aggregate(
        quantity=Coalesce(Sum("quantity"), nothing, output_field=QuantityField()),
        value=Coalesce(Sum("amount"), nothing, output_field=QuantityField()),
    )
    bought = supply.entries.filter(kind=SupplyEntry.Kind.BOUGHT, reversed_by=None)
    last = bought.order_by("-date", "-pk").first()
    price = Fraction(last.amount) / Fraction(last.quantity) if last else Fraction(0)
    return OnHand(sums["quantity"], sums["value"], price)


def cost_of_using(supply: Supply, quantity: Decimal) -> Decimal:
    """Return what using that much of a supply costs now."""
    there = on_hand_of(supply)
    return from_millionths(
        cost_of_use(
            to_millionths(quantity),
            to_millionths(there.quantity),
            to_millionths(there.value),
            there.last_price,
        )
    )


def cost_of_work(person: Person, minutes: Decimal) -> Decimal:
    """Return what a person's minutes cost, to the millionth."""
    return round_half_up(Fraction(person.hourly_rate) * Fraction(minutes) / 60, 6)


def recipe_for(kind: str, container: Container, plant: Plant) -> Recipe | None:
    """Return the recipe of a plant in a container, else the container's own."""
    recipes = Recipe.objects.filter(kind=kind, container=container)
    return recipes.filter(plant=plant).first() or recipes.filter(plant__isnull=True).first()


def quantities_for(recipe: Recipe, plants: int) -> list[tuple[Supply, Decimal]]:
    """Return what that many plants take of each supply, loose where it settles."""
    return [
        (
            line.supply,
            round_half_up(loose_volume(line.quantity * plants, line.supply.settling_percent), 6),
        )
        for line in recipe.lines.select_related("supply")
    ]
