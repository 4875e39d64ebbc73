"""Say what will be true of a supply after an entry, and what its prices did."""

from decimal import Decimal
from fractions import Fraction

from django.urls import reverse

from inventory.models import Supply
from inventory.queries.supplies import cost_of_using, on_hand_of
from inventory.queries.supply_page import Bought, measured
from nursery.listing import exact
from nursery.templatetags.nursery_tags import each, money

PICTURE_HEIGHT = 220


def bought_sentence(supply: Supply, quantity: Decimal, amount: Decimal) -> str:
    """Say what this purchase costs a unit, and what is there on average after it."""
    there = on_hand_of(supply)
    unit, after = supply.get_unit_display(), there.quantity + quantity
    words = (
        f"{measured(quantity)} {unit} for {money(amount)}, {_each(amount, quantity)} each. "
        f"{measured(after)} there then"
    )
    worth = there.value + amount
    if after <= 0 or worth <= 0:
        return f"{words}."
    return f"{words}, {_each(worth, after)} each on average."


def counted_sentence(supply: Supply, found: Decimal) -> str:
    """Say how a count differs from the books."""
    there, unit = on_hand_of(supply).quantity, supply.get_unit_display()
    said = f"{measured(found)} {unit} found where the books say {measured(there)}"
    if found == there:
        return f"{measured(found)} {unit} found, as the books say."
    if found > there:
        return f"{said}: {measured(found - there)} more, at no cost."
    missing = there - found
    return f"{said}: {measured(missing)} missing, worth {money(cost_of_using(supply, missing))}."


def price_picture(supply: Supply, bought: list[Bought]) -> dict | None:
    """Return the sentence and the table of what a unit cost at each purchase."""
    if not bought:
        return None
    prices = [one.price for one in bought]
    first, last = prices[0], prices[-1]
    sentence = f"A unit cost {each(exact(last))} at the last purchase"
    if len(prices) > 1:
        sentence += f", {each(exact(first))} at the first shown here"
    address = reverse("inventory:supply-chart", args=[supply.pk])
    return {
        "source": f"{address}?of={len(bought)}",
        "height": PICTURE_HEIGHT,
        "sentence": f"{sentence}.",
        "heads": ["Day", "Bought", "For", "Each"],
        "rows": [
            [
                f"{one.on:%d %b %Y}".lstrip("0"),
                measured(one.quantity),
                money(one.amount),
                each(exact(one.price)),
            ]
            for one in bought
        ],
    }


def _each(amount, quantity):
    return each(exact(Fraction(amount) / Fraction(quantity)))
