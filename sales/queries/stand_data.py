"""All that the stand needs to sell without asking again: plants, prices, taxes, buyers."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.template.loader import render_to_string
from django.utils import timezone

from inventory.names import search_key
from inventory.rights_of_pages import COSTS
from inventory.size_words import size_of
from nursery.context import current_locale, current_nursery
from nursery.money import currency_digits
from sales.models import Buyer, PriceList
from sales.queries.certificates import exemption_of, exemption_trouble
from sales.queries.prices import PriceBook
from sales.queries.stand import lots_to_choose, stand_plants
from sales.queries.stand_day import attended_stands
from sales.queries.taxes import LineTax, tax_on_day

# A percent with four decimals as a whole number.
PERCENT_UNIT = 10_000
# Whose taxes are asked for: anybody's, and those of a buyer who is exempt.
ANYBODY, EXEMPT = "", "Exempt"


def stand_data(on: date, seller) -> dict:
    """Return what may be sold on a day and how it is priced and taxed, as plain values.

    Amounts are whole minor units of the currency, percents whole ten-thousandths.
    `seller` is who is logged in, and gets what plants cost only with the right to see it.
    """
    nursery = current_nursery()
    digits = currency_digits(nursery.currency)
    taxes = _Taxes(on)
    stand = next((day for day in attended_stands() if day.date <= on), None)
    return {
        "on": on.isoformat(),
        "made_at": timezone.now().isoformat(),
        "seller": {"key": seller.pk, "name": seller.get_username()},
        "currency": nursery.currency,
        "locale": current_locale().replace("_", "-"),
        "digits": digits,
        "cash_step": minor(nursery.smallest_cash, digits),
        "counted": nursery.counted_for_price,
        "basis": str(taxes.rule.basis),
        "included": taxes.rule.included,
        "stand": stand.pk if stand else None,
        "plants": _plants(on, digits, taxes, stand, sees_costs=seller.has_perm(COSTS)),
        "taxes": taxes.rows,
        "buyers": _buyers(on),
        "lists": [str(name) for name in PriceList.values],
    }


def minor(amount: Decimal, digits: int) -> int:
    """Return an amount that is whole in the currency as its minor units."""
    return int(Decimal(amount).scaleb(digits))


@dataclass
class _Taxes:
    """The ways plants are taxed that day, each once, named by its place in `rows`."""

    on: date
    rows: list[dict] = field(default_factory=list)

    def __post_init__(self):
        self.rule = tax_on_day(self.on)
        self.places: dict[LineTax, int] = {}

    def place_of(self, plant, exemption: str) -> int:
        """Return the place of a plant's tax in `rows`."""
        tax = self.rule.of(plant, exemption)
        if tax not in self.places:
            self.places[tax] = len(self.rows)
            words = {"tax": tax, "included": self.rule.included}
            self.rows.append(
                {
                    "category": str(tax.category),
                    "percent": int(tax.percent * PERCENT_UNIT),
                    "words": render_to_string("sales/_tax_words.html", words).strip(),
                }
            )
        return self.places[tax]


def _plants(on, digits, taxes, stand, *, sees_costs):
    rows = stand_plants(on=on, stand=stand)
    lots = lots_to_choose(((row.plant.pk, row.container.pk) for row in rows), stand)
    prices = _prices(on, {row.plant.pk for row in rows}, digits)
    return [
        {
            "key": row.key,
            "name": render_to_string("partials/plant_name.html", {"plant": row.plant}),
            "likeness": render_to_string("sales/_likeness.html", {"row": row}).strip(),
            "words": str(row.plant),
            "find": f"{search_key(row.plant.name)} {row.plant.common_name.casefold()}",
            "size": row.container.code,
            "tax": taxes.place_of(row.plant, ANYBODY),
            "exempt": taxes.place_of(row.plant, EXEMPT),
            "prices": prices[row.plant.pk, row.container.pk],
            "lots": [_lot(lot, digits, sees_costs) for lot in lots[row.plant.pk, row.container.pk]],
        }
        for row in rows
    ]


def _lot(lot, digits, sees_costs):
    """Return a lot; `cost` is what one of its plants has cost, in minor units rounded up.

    Who may not see costs gets none, so that no price seems to lie below it.
    """
    balance = lot.balance
    cost = Fraction(balance.cost) * 10**digits / balance.on_hand if sees_costs else 0
    return {
        "key": lot.pk,
        "code": lot.code,
        "free": lot.free,
        "grade": lot.grade,
        "tall": size_of(lot),
        "place": str(balance.place or ""),
        "cost": -int(-cost // 1),
    }


def _prices(on, plants, digits):
    """Return {(plant, container): {list: {grade: [[from so many, amount], …]}}}."""
    found = defaultdict(lambda: defaultdict(lambda: defaultdict(list)))
    for (name, plant, container, grade), breaks in PriceBook(on, plants).prices.items():
        found[plant, container][name][grade] = [
            [least, minor(row.amount, digits)] for least, row in sorted(breaks.items())
        ]
    return found


def _buyers(on):
    return [
        {
            "key": buyer.pk,
            "name": buyer.name,
            "list": str(buyer.list_in_use),
            "exempt": bool(exemption_of(buyer, on)),
            "trouble": exemption_trouble(buyer, on),
        }
        for buyer in Buyer.objects.all()
    ]
