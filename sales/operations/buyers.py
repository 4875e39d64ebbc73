"""Write down who buys."""

from uuid import UUID

from django.db import IntegrityError, transaction

from inventory.operations.posting import ledger_held
from sales.errors import SaleRefused
from sales.models import Buyer

FACTS = (
    "name",
    "kind",
    "price_list",
    *("address", "street", "postcode", "city", "region", "country", "tax_id", "language"),
    "email",
    "phone",
    "terms_days",
    "discount_percent",
    "discount_days",
    "tax_exempt",
    "note",
)


def add_buyer(*, request_id: UUID, by=None, **facts) -> Buyer:
    """Write down a new buyer. The same facts once more return the buyer they made.

    Raises SaleRefused where the name is taken by another.
    """
    with ledger_held():
        standing = Buyer.objects.filter(name=facts["name"]).first()
        if standing and all(getattr(standing, name) == facts[name] for name in facts):
            return standing
        return _written(Buyer(), facts)


def change_buyer(*, buyer: Buyer, request_id: UUID, by=None, **facts) -> Buyer:
    """Change what is known of a buyer. Documents issued already keep their terms."""
    with ledger_held():
        return _written(Buyer.objects.select_for_update().get(pk=buyer.pk), facts)


def _written(buyer, facts):
    for name in FACTS:
        if name in facts:
            setattr(buyer, name, facts[name])
    if Buyer.objects.filter(name__iexact=buyer.name).exclude(pk=buyer.pk).exists():
        raise SaleRefused(
            f"There is a buyer called {buyer.name} already. Choose that one, or add a place "
            "or a first name to tell them apart.",
            field="name",
        )
    try:
        with transaction.atomic():
            buyer.save()
    except IntegrityError as error:
        raise SaleRefused("The ledger cannot keep this buyer as written.") from error
    return buyer
