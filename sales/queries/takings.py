"""What plants were sold for, for the growing side."""

from fractions import Fraction

from inventory.queries.ledger_rows import parts
from sales.models import Take


def prices_of_movements(movements: list[int]) -> dict[int, Fraction]:
    """Return {movement: what one plant brought before tax} of sales and returns."""
    found: dict[int, Fraction] = {}
    for part in parts(movements):
        rows = Take.objects.filter(movement__in=part)
        for key, net, quantity in rows.values_list("movement", "net", "movement__quantity"):
            found[key] = Fraction(net) / quantity
    return found
