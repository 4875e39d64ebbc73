"""Which methods of HTTP the ledger knows: reading and sending a form."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from nursery.watching.errors import show
from nursery.watching.faults import NOT_THIS_WAY

KNOWN = ("GET", "HEAD", "POST")


class OnlyKnownMethods:
    """Refuse every other method, such as TRACE, whatever a view would make of it."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]):
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, or say what is answered."""
        if request.method in KNOWN:
            return self.get_response(request)
        answer = show(request, NOT_THIS_WAY._replace(stands_alone=True))
        answer.headers["Allow"] = ", ".join(KNOWN)
        return answer
