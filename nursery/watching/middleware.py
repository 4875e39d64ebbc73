"""What happens around each request: its reference, its line in the log, its deed."""

import logging
import time
from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from nursery.watching import deeds, faults
from nursery.watching.errors import show
from nursery.watching.passing import Passing, begin, end, passing, reference_from, route_of

log = logging.getLogger("nursery.requests")
REFERENCE = "X-Request-ID"
SAFE = {"GET", "HEAD", "OPTIONS", "TRACE"}
# What is worth a line though it was answered in time: somebody tried what they may not.
TOLD = {400, 403, 413, 429}
METHODS = SAFE | {"POST", "PUT", "PATCH", "DELETE"}


class Watch:
    """Give a request its reference, write its line and, where it changed something, its deed.

    The outermost of all, so that nothing is answered without a reference.
    """

    def __init__(self, get_response: Callable):
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer a request, watched."""
        known = request.passing = Passing(reference_from(request))
        token, begun = begin(known), time.perf_counter()
        try:
            response = self.get_response(request)
            response[REFERENCE] = known.reference
            known.route = route_of(request)
            if request.method not in SAFE:
                deeds.record_request(request, response, known)
            elif "_export" in request.GET and response.status_code == 200:
                deeds.record_export(request, known)
            _tell(request, response, known, time.perf_counter() - begun)
            return response
        finally:
            end(token)

    def process_view(self, request: HttpRequest, view, args, kwargs) -> None:
        """Know the route from here on, for lines that are written on the way."""
        passing().route = route_of(request)


class FaultPages:
    """Give an answer without words, such as "405", its page. The innermost of all."""

    def __init__(self, get_response: Callable):
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, and put the words in where there are none; what the answer says else stays."""
        response = self.get_response(request)
        fault = faults.BY_STATUS.get(response.status_code)
        if fault and not response.streaming and not response.content:
            page = show(request, fault)
            response.content = page.content
            for header, value in page.items():
                response[header] = value
        return response


def _tell(request, response, known, took):
    """Write the line: of a slow or refused or broken request always, of others when asked."""
    slow = took >= settings.SLOW_REQUEST_SECONDS
    told = slow or response.status_code in TOLD or response.status_code >= 500
    level = logging.INFO if told else logging.DEBUG
    is_file = request.resolver_match is None and response.status_code < 400
    if is_file or not log.isEnabledFor(level):
        return
    facts = {
        "method": request.method if request.method in METHODS else "other",
        "status": response.status_code,
        "ms": round(took * 1000, 1),
        "questions": known.questions,
        "asked_ms": round(known.asked_seconds * 1000, 1),
        "account": known.account,
    }
    log.log(level, "answered", extra={"facts": facts})
