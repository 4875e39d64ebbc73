"""Pages that anyone may see: no login, no session, no cookie."""

from collections.abc import Callable
from functools import wraps

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotFound

from nursery.watching.passing import known_as


def open_to_all(view: Callable) -> Callable:
    """Let anyone see a page. tests/test_open_pages.py names every page that does this.

    What is not there is said in a line, without the ledger's own page around it.
    """

    @wraps(view)
    def seen(request: HttpRequest, *arguments, **named) -> HttpResponse:
        try:
            return view(request, *arguments, **named)
        except Http404:
            return HttpResponseNotFound("Nothing is here.\n", content_type="text/plain")

    seen.is_open = True
    return login_not_required(seen)


def is_open(view: Callable) -> bool:
    """Say whether a page was opened to all."""
    return getattr(view, "is_open", False)


class LoginUnlessOpen(LoginRequiredMiddleware):
    """Ask for a login on every page but open ones, of whose visitors nothing is asked."""

    def process_view(self, request, view_func, view_args, view_kwargs):
        """Let an open page through before the session is looked at."""
        if is_open(view_func):
            return None
        answer = super().process_view(request, view_func, view_args, view_kwargs)
        if answer is None and getattr(view_func, "login_required", True):
            known_as(request.user)
        return answer
