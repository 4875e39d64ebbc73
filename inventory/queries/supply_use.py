"""What one use of a supply cost, and the purchases behind that price."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum

from inventory.models import SupplyEntry
from inventory.queries.supply_page import Bought

Kind = SupplyEntry.Kind


@dataclass(frozen=True)
class PriceBehind:
    """What was there of a supply when it was used, from its purchases on.

    `gone` and `gone_amount` are what earlier uses and counts took out of the purchases,
    negative where they took more than they brought.
    """

    purchases: list[Bought]
    bought: Decimal
    bought_amount: Decimal
    gone: Decimal
    gone_amount: Decimal

    @property
    def there(self) -> Decimal:
        return self.bought + self.gone

    @property
    def worth(self) -> Decimal:
        return self.bought_amount + self.gone_amount

    @property
    def average(self) -> Fraction | None:
        """The moving average of a unit, or none where nothing of worth was there."""
        if self.there <= 0 or self.worth <= 0:
            return None
        return Fraction(self.worth) / Fraction(self.there)


def price_behind(use: SupplyEntry) -> PriceBehind:
    """Return what the price of a use was made of: all that was written before it.

    Purchases undone before it are left out, and so is their undoing.
    """
    before = SupplyEntry.objects.filter(supply=use.supply_id, pk__lt=use.pk)
    stood = before.filter(kind=Kind.BOUGHT).exclude(reversed_by__pk__lt=use.pk)
    rows = stood.order_by("-date", "-pk").values_list("date", "quantity", "amount", "supplier")
    purchases = [Bought(*row) for row in rows]
    bought = sum((one.quantity for one in purchases), Decimal(0))
    bought_amount = sum((one.amount for one in purchases), Decimal(0))
    sums = before.aggregate(quantity=Sum("quantity"), amount=Sum("amount"))
    there, worth = sums["quantity"] or Decimal(0), sums["amount"] or Decimal(0)
    return PriceBehind(purchases, bought, bought_amount, there - bought, worth - bought_amount)
