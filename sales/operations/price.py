"""Set list prices."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from inventory.models import Container, Plant
from inventory.operations.posting import ledger_held
from sales.models import Price
from sales.operations.sell import whole_in_currency


def set_price(
    *,
    plant: Plant,
    container: Container,
    amount: Decimal,
    on: date,
    request_id: UUID,
    by=None,
) -> Price:
    """Set the list price before tax of a plant in a container from a day on."""
    with ledger_held():
        done = Price.objects.filter(request_id=request_id).first()
        return done or Price.objects.create(
            plant=plant,
            container=container,
            amount=whole_in_currency(amount),
            valid_from=on,
            request_id=request_id,
        )
