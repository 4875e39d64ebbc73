"""Close the year, and open it again."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST, require_safe

from inventory.errors import LedgerError
from inventory.operations.closing import close_period, reopen
from inventory.queries.closed import closed_to
from inventory.queries.closings import closings
from inventory.rights_of_pages import CLOSE, REOPEN
from nursery.http import go_to
from nursery.templatetags.nursery_tags import plain
from sales.forms.closing import CloseForm, ReopenForm


@require_safe
def closing(request: HttpRequest) -> HttpResponse:
    """Show what is closed, and what was closed and opened before."""
    return _closing_page(request)


@require_POST
def closing_close(request: HttpRequest) -> HttpResponse:
    """Close every day up to one."""
    form = CloseForm(request.POST)
    if form.is_valid():
        try:
            row = close_period(by=request.user, **form.cleaned_data)
        except LedgerError as error:
            form.refuse(error)
        else:
            messages.success(
                request,
                f"Closed up to {row.closed_to:%d %B %Y}, with {plain(len(row.snapshot))} lots in "
                "stock. Entries of those days are refused from now on.",
            )
            return go_to(request, "sales:closing")
    return _closing_page(request, close_form=form)


@require_POST
def closing_reopen(request: HttpRequest) -> HttpResponse:
    """Open closed days again, which the owner alone has the right to."""
    form = ReopenForm(request.POST)
    if form.is_valid():
        try:
            row = reopen(by=request.user, **form.cleaned_data)
        except LedgerError as error:
            form.refuse(error)
        else:
            left = f"still closed up to {row.closed_to:%d %B %Y}" if row.closed_to else "all open"
            messages.success(request, f"Opened again: the books are {left}.")
            return go_to(request, "sales:closing")
    return _closing_page(request, reopen_form=form)


def _closing_page(request, close_form=None, reopen_form=None):
    closed = closed_to()
    context = {
        "place": "books",
        "closed_to": closed,
        "history": closings(),
        "close_form": close_form or CloseForm.after(closed),
        "reopen_form": reopen_form or ReopenForm(),
        "may_close": request.user.has_perm(CLOSE),
        "may_reopen": request.user.has_perm(REOPEN),
    }
    return render(request, "sales/closing.html", context)
