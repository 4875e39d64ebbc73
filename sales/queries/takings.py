"""What plants were sold for, for the growing side."""

from decimal import Decimal

from inventory.queries.ledger_rows import parts
from sales.models import Take


def prices_of_movements(movements: list[int]) -> dict[int, Decimal]:
    """Return {movement: price of one plant before tax} of sales and returns."""
    found: dict[int, Decimal] = {}
    for part in parts(movements):
        rows = Take.objects.filter(movement__in=part)
        found |= dict(rows.values_list("movement", "line__unit_price"))
    return found
