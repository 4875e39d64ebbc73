"""How many plants must be sold to cover what is spent anyway, and to earn something on top.

Each plant sold leaves its price less what it took to grow; that pays for rent, insurance and
the like, which are due however few are sold.  Answers are exact fractions; a number of plants
to sell is rounded up, because no part of a plant is sold.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

Amount = Decimal | Fraction | int


@dataclass(frozen=True)
class BreakEven:
    """A plant's price, what one more takes to grow, and what is spent anyway."""

    price: Amount
    unit_cost: Amount
    fixed: Amount

    @property
    def unit_margin(self) -> Fraction:
        """What one plant leaves towards what is spent anyway."""
        return Fraction(self.price) - Fraction(self.unit_cost)

    @property
    def margin_ratio(self) -> Fraction:
        """The part of the price that is left, exact: a rounded one gives wrong sums."""
        return self.unit_margin / Fraction(self.price)

    def units_for(self, profit: Amount = 0) -> Fraction | None:
        """Return the plants that earn this profit, exactly; None where each loses money."""
        if self.unit_margin <= 0:
            return None
        return (Fraction(self.fixed) + Fraction(profit)) / self.unit_margin

    def plants_for(self, profit: Amount = 0) -> int | None:
        """Return the whole plants that must be sold to earn at least this profit."""
        units = self.units_for(profit)
        return None if units is None else max(ceil(units), 0)

    def sales_for(self, profit: Amount = 0) -> Fraction | None:
        """Return what must be taken to earn this profit."""
        units = self.units_for(profit)
        return None if units is None else units * Fraction(self.price)

    def profit_at(self, units: Amount) -> Fraction:
        """Return what is earned when so many are sold; a loss is negative."""
        return Fraction(units) * self.unit_margin - Fraction(self.fixed)

    def safety_at(self, units: Amount) -> Fraction | None:
        """Return by how much sales of so many may fall before they lose money."""
        needed = self.sales_for()
        return None if needed is None else Fraction(units) * Fraction(self.price) - needed
