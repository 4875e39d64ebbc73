"""Write down who buys."""

from uuid import UUID

from django.db import IntegrityError, transaction

from inventory.operations.posting import ledger_held
from sales.errors import SaleRefused
from sales.models import Buyer
from sales.queries.proof import overdrawn_accounts

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


def merge_buyers(*, kept: Buyer, merged: Buyer, request_id: UUID, by=None) -> Buyer:
    """Say that a buyer was written down twice, and return the one who is the same as `kept`.

    The facts of the one kept count from now on; what stands with the other is theirs too.
    No document changes. The same request again changes nothing. Raises SaleRefused for one
    and the same entry, and where either is merged already in a way that would make a chain.
    """
    with ledger_held():
        done = Buyer.objects.filter(merge_request_id=request_id).first()
        if done:
            return done
        kept, merged = (Buyer.objects.get(pk=one.pk) for one in (kept, merged))
        if merged.same_as_id != kept.pk:
            _refuse_chain(kept, merged)
            merged.same_as, merged.merge_request_id = kept, request_id
            merged.save(update_fields=["same_as", "merge_request_id"])
        return merged


def split_buyer(*, buyer: Buyer, by=None) -> None:
    """Say that a buyer is two after all: undo `merge_buyers`.

    Raises SaleRefused where money of one was used for the other since.
    """
    with ledger_held():
        together = buyer.entries
        Buyer.objects.filter(pk=buyer.pk).update(same_as=None)
        for name, _, _ in overdrawn_accounts(of=together):
            raise SaleRefused(
                f"Money of the other was used for {name} while they were one. Undo that payment "
                "first; then they are two again."
            )


def _refuse_chain(kept, merged):
    if kept == merged:
        raise SaleRefused("Choose another buyer: this one is the same as itself.", field="other")
    if kept.same_as:
        raise SaleRefused(
            f"{kept} is the same buyer as {kept.same_as}. Keep {kept.same_as}.", field="other"
        )
    if merged.same_as:
        raise SaleRefused(
            f"{merged} is the same buyer as {merged.same_as}. Say first that they are two after "
            "all.",
            field="other",
        )
    if double := merged.doubles.first():
        raise SaleRefused(
            f"{merged} is kept for {double} too. Keep {merged} instead, or say first that "
            f"{double} is another buyer after all.",
            field="other",
        )


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
