"""The people at a buyer's: add one, take one off, put one back."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from inventory.errors import LedgerError
from nursery.http import go_to
from nursery.undo import offer_undo
from sales import operations
from sales.forms.contacts import ContactForm
from sales.models import Contact
from sales.views.buyers import buyer_at


@require_http_methods(["GET", "POST"])
def contact_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down a person at a buyer's."""
    buyer = buyer_at(pk)
    form = ContactForm(request.POST or None)
    if form.is_valid():
        try:
            added = operations.add_contact(buyer=buyer, by=request.user, **form.cleaned_data)
        except LedgerError as error:
            form.refuse(error)
        else:
            undo = reverse("sales:contact-remove", args=[added.pk])
            offer_undo(request, f"{added} is written down.", undo)
            return go_to(request, "sales:buyer", pk)
    context = {"place": "buyers", "form": form, "buyer": buyer}
    return render(request, "sales/contact_form.html", context)


@require_POST
def contact_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a person off a buyer's list."""
    contact = get_object_or_404(Contact, pk=pk)
    operations.remove_contact(contact=contact, by=request.user)
    undo = reverse("sales:contact-back", args=[pk])
    offer_undo(request, f"{contact} is off the list.", undo)
    return go_to(request, "sales:buyer", contact.buyer_id)


@require_POST
def contact_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a person back on a buyer's list."""
    contact = get_object_or_404(Contact, pk=pk)
    operations.put_contact_back(contact=contact, by=request.user)
    undo = reverse("sales:contact-remove", args=[pk])
    offer_undo(request, f"{contact} is back on the list.", undo)
    return go_to(request, "sales:buyer", contact.buyer_id)
