"""Write down whom to ask for at a buyer's."""

from uuid import UUID

from inventory.operations.posting import ledger_held
from sales.errors import SaleRefused
from sales.models import Buyer, Contact


def add_contact(
    *,
    buyer: Buyer,
    name: str,
    request_id: UUID,
    role: str = "",
    email: str = "",
    phone: str = "",
    by=None,
) -> Contact:
    """Write down a person at a buyer's. The same request again returns the first result.

    Raises SaleRefused without a name, or without a way to reach them.
    """
    with ledger_held():
        done = Contact.objects.filter(request_id=request_id).first()
        if done:
            return done
        name, role, email, phone = (text.strip() for text in (name, role, email, phone))
        if not name:
            raise SaleRefused("Write the person's name.", field="name")
        if not (email or phone):
            raise SaleRefused(
                f"Write a phone number or an e-mail address, so that {name} can be reached.",
                field="phone",
            )
        return Contact.objects.create(
            buyer=buyer, name=name, role=role, email=email, phone=phone, request_id=request_id
        )


def remove_contact(*, contact: Contact, by=None) -> None:
    """Take a person who left off the buyer's list; `put_contact_back` undoes it."""
    with ledger_held():
        Contact.objects.filter(pk=contact.pk).update(is_former=True)


def put_contact_back(*, contact: Contact, by=None) -> None:
    """Put a person back on the buyer's list."""
    with ledger_held():
        Contact.objects.filter(pk=contact.pk).update(is_former=False)
