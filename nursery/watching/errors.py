"""The pages for what cannot be shown. None tells a trace, a setting, an address or a statement."""

import sys

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.templatetags.static import static

from nursery.openly import is_open
from nursery.people.roles import role_of
from nursery.watching import faults
from nursery.watching.faults import Fault
from nursery.watching.passing import reference

STYLES = ("css/vendor/simple.css", "css/tokens.css", "css/base.css", "css/layout.css")
# htmx is told to put the words above the page and to leave what was typed alone.
FOR_HTMX = {"HX-Retarget": ".said", "HX-Reselect": ".fault", "HX-Reswap": "innerHTML show:top"}


def show(request: HttpRequest, fault: Fault) -> HttpResponse:
    """Answer with the page of a fault; to htmx with a notice for the page that is open."""
    told = {"fault": fault, "reference": reference()}
    if "HX-Request" in request.headers:
        text, headers = render_to_string("partials/fault.html", told), FOR_HTMX
    else:
        text, headers = _page(request, told), {}
    answer = HttpResponse(text, status=fault.status, headers=headers)
    if fault.retry_after:
        answer["Retry-After"] = fault.retry_after
    answer["Cache-Control"] = "no-store"
    return answer


def _page(request, told):
    found = request.resolver_match
    if told["fault"].stands_alone or (found and is_open(found.func)):
        told |= {"layout": "alone.html", "styles": _styles()}
        return render_to_string("fault.html", told)
    return render_to_string("fault.html", told | {"layout": "base.html"}, request)


def _styles() -> list[str]:
    """Return the addresses of the style sheets, or none where they were not gathered."""
    try:
        return [static(name) for name in STYLES]
    except ValueError:
        return []


def bad_request(request: HttpRequest, exception=None) -> HttpResponse:
    """Show that what was sent could not be understood."""
    return show(request, faults.NOT_UNDERSTOOD)


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Show what an account may not do, and who can allow it."""
    fault, role = faults.NOT_ALLOWED, role_of(request.user)
    if role is None:
        fault = fault._replace(what=f"Nobody has said yet what this account may do. {fault.what}")
    elif str(exception):
        fault = fault._replace(what=f"A {role} may not {exception}. {fault.what}")
    return show(request, fault)


def not_here(request: HttpRequest, exception=None) -> HttpResponse:
    """Show that nothing is at an address."""
    return show(request, faults.NOT_HERE)


def broken(request: HttpRequest) -> HttpResponse:
    """Show that something broke, by what it was; the log has the trace under the reference."""
    return show(request, faults.fault_of(sys.exception()))


def form_too_old(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Show that a form cannot be told from a stranger's."""
    return show(request, faults.FORM_TOO_OLD)
