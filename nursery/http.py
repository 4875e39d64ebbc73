"""Small answers that every view may give."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, resolve_url
from django_htmx.http import HttpResponseClientRedirect


def go_to(request: HttpRequest, name: str, *args, **kwargs) -> HttpResponse:
    """Send the person on to a page, whether htmx asked or a plain browser."""
    if getattr(request, "htmx", False):
        return HttpResponseClientRedirect(resolve_url(name, *args, **kwargs))
    return redirect(name, *args, **kwargs)


def only_on_this_machine(request: HttpRequest) -> bool:
    """Say whether the address asked leads to this ledger from this machine alone."""
    name = request.get_host().rpartition(":")[0] or request.get_host()
    return name in ("localhost", "[::1]") or name.startswith("127.")
