"""What stands on the nursery's paper, and a look at it."""

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_safe

from inventory.errors import LedgerError
from inventory.models import Nursery
from nursery.http import go_to
from nursery.kept_files import kept_file
from sales.forms.letterhead import LetterheadForm
from sales.operations import change_letterhead


@require_http_methods(["GET", "POST"])
def letterhead(request: HttpRequest) -> HttpResponse:
    """Show what documents print of the nursery, and write it when sent."""
    nursery = Nursery.current()
    form = LetterheadForm(request.POST or None, request.FILES or None, nursery=nursery)
    if form.is_valid():
        try:
            change_letterhead(**form.facts())
        except LedgerError as error:
            form.refuse(error)
        else:
            messages.success(request, "Saved. Documents issued from now on bear it.")
            return go_to(request, "sales:settings-letterhead")
    return render(request, "sales/letterhead.html", {"form": form})


@require_safe
def logo(request: HttpRequest) -> FileResponse:
    """Answer with the nursery's logo."""
    name = Nursery.current().logo
    if not name or not kept_file(name).exists():
        raise Http404
    return FileResponse(kept_file(name).open("rb"))
