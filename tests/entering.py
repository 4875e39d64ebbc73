"""Press the buttons of entry pages, and look at every figure that is kept."""

from datetime import date
from uuid import uuid4

from django.urls import reverse

from inventory.models import Carried, LotBalance, Operation, UncarriedCost
from inventory.models.kept import COST_FIELDS
from tests.factories import UserFactory

MAY_DAY = date(2025, 5, 1)


def as_grower(client):
    """Log somebody in who may enter what happens."""
    client.force_login(UserFactory(is_superuser=True))
    return client


def sent(day: date = MAY_DAY, **fields) -> dict:
    """Return a form as a page would send it; day and request id may be given anew."""
    return {"request_id": str(uuid4()), "on": day.isoformat(), **fields}


def page(name: str, *args) -> str:
    """Return the address of a page of the growing side."""
    return reverse(f"inventory:{name}", args=args)


def opened(address: str) -> str:
    """Return a form's address as it is once the form is open, with its request id."""
    return f"{address}{'&' if '?' in address else '?'}request={uuid4()}"


def kept_figures() -> dict:
    """Return everything that is kept beside the ledger."""
    balances = LotBalance.objects.values_list("lot__code", "on_hand", "place", *COST_FIELDS)
    carried = Carried.objects.values_list("movement", "on_hand_after", *COST_FIELDS)
    return {
        # A code that was used once keeps its row, empty again after an undo.
        "balances": {row for row in balances if row[1] or any(row[3:])},
        "carried": set(carried),
        "uncarried": set(UncarriedCost.objects.values_list("entry", flat=True)),
    }


def undo_last(client):
    """Press Undo for the last entry, and return the answer."""
    return client.post(page("undo", Operation.objects.latest("pk").pk), follow=True)
