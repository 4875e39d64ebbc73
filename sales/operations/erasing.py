"""Forget who a buyer was, as far as the law lets a nursery forget."""

from itertools import count
from uuid import UUID

from django.db.models import Q
from django.utils import timezone

from inventory.operations.posting import ledger_held
from sales.errors import SaleRefused
from sales.models import (
    Buyer,
    BuyerLink,
    Contact,
    Hold,
    PlantRequest,
    SharedPaper,
)
from sales.operations.requests import drop_requests
from sales.queries.document_list import open_documents
from sales.queries.holds import holds_of
from sales.queries.on_account import on_account

FORGOTTEN = ("address", "street", "postcode", "city", "region", "email", "phone", "tax_id", "note")


def erase_buyer(*, buyer: Buyer, request_id: UUID, by=None) -> Buyer:
    """Forget a buyer's name and how to reach them, and return what is left.

    Issued documents, payments and certificates stay as they are: the law asks for them. People,
    requests and notes are gone, and links lead nowhere. It cannot be undone; once more changes
    nothing. Raises SaleRefused while money or plants are open between them and the nursery.
    """
    with ledger_held():
        buyer = Buyer.objects.select_for_update().get(pk=buyer.pk).kept
        if buyer.erased_on:
            return buyer
        entries = buyer.entries
        _refuse_while_anything_is_open(buyer, entries)
        _forget_around(entries)
        for entry in entries:
            for name in FORGOTTEN:
                setattr(entry, name, "")
            entry.name, entry.erased_on = _name_of_nobody(entry), timezone.localdate()
            entry.save()
        buyer.refresh_from_db()
        return buyer


def _name_of_nobody(entry):
    """Return a name that tells nothing and that nobody has, such as one that was imported."""
    names = (f"Erased buyer {number}" for number in count(entry.pk))
    return next(name for name in names if not Buyer.objects.filter(name=name).exists())


def _refuse_while_anything_is_open(buyer, entries):
    if open_documents().filter(buyer__in=entries).exists():
        raise SaleRefused(f"An invoice of {buyer} is not paid. Settle it first.")
    if on_account(buyer):
        raise SaleRefused(f"Money of {buyer} lies on account. Use it or give it back first.")
    if holds_of(entries, timezone.localdate()):
        raise SaleRefused(f"Plants are held for {buyer}. Let them go first.")


def _forget_around(entries):
    Contact.objects.filter(buyer__in=entries).delete()
    # What came as a stranger's is theirs since plants were held for them.
    theirs = Q(buyer__in=entries) | Q(holds__buyer__in=entries)
    drop_requests(PlantRequest.objects.filter(theirs).distinct())
    Hold.objects.filter(buyer__in=entries).update(note="")
    BuyerLink.objects.filter(buyer__in=entries).update(is_withdrawn=True)
    SharedPaper.objects.filter(document__buyer__in=entries).update(is_withdrawn=True)
