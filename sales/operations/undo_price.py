"""Put a list price back to what it was."""

from inventory.operations.posting import ledger_held
from sales.models import Price


def undo_price(*, price: Price, by=None) -> None:
    """Forget a list price: the one before it is in force again.

    Lines keep the price they were sold at, so no document depends on the list.
    """
    with ledger_held():
        Price.objects.filter(pk=price.pk).delete()
