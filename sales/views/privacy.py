"""What is kept of a buyer: handed over, and forgotten."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.text import slugify
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from inventory.errors import LedgerError
from nursery.forms import RequestForm
from nursery.http import go_to
from sales import operations
from sales.queries.facts_of_buyer import packed
from sales.views.buyers import buyer_at


class EraseForm(RequestForm):
    """The buyer's name once more: what is erased does not come back."""

    name = forms.CharField(label="Their name, to be sure", max_length=80)

    def __init__(self, *args, buyer, **kwargs):
        super().__init__(*args, **kwargs)
        self.buyer = buyer

    def clean_name(self):
        name = self.cleaned_data["name"].strip()
        if name != self.buyer.name:
            raise forms.ValidationError(f"Write it as it stands above: {self.buyer.name}")
        return name


@require_safe
@never_cache
def buyer_facts(request: HttpRequest, pk: int) -> HttpResponse:
    """Hand over all that is kept of a buyer, as one file."""
    buyer = buyer_at(pk)
    name = f"{slugify(buyer.name) or 'buyer'}-{buyer.pk}.zip"
    answer = HttpResponse(packed(buyer), content_type="application/zip")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@require_http_methods(["GET", "POST"])
def buyer_erase(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what would stay and what would go, and erase a buyer."""
    buyer = buyer_at(pk)
    form = EraseForm(request.POST or None, buyer=buyer)
    if form.is_valid():
        try:
            request_id = form.cleaned_data["request_id"]
            erased = operations.erase_buyer(buyer=buyer, request_id=request_id, by=request.user)
        except LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"Their name is gone. What law keeps stands as {erased}.")
            return go_to(request, "sales:buyer", erased.pk)
    context = {"place": "buyers", "buyer": buyer, "form": form}
    return render(request, "sales/buyer_erase.html", context)
