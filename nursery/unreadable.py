"""Read an address without what no text can hold, before any page reads it."""

from collections.abc import Callable

from django.core.exceptions import BadRequest
from django.http import HttpRequest, HttpResponse

ZERO = "%00"


class WithoutZeroBytes:
    """Leave zero bytes out of what an address asks, and refuse a path that has one.

    PostgreSQL keeps them in no text, not even to compare with. What is sent by a form is read
    by the form, which says so beside the field.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]):
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, unless the path cannot be read."""
        if "\x00" in request.path_info:
            raise BadRequest("The address holds a zero byte.")
        # Taking one out may leave another: %%0000.
        while ZERO in (asked := request.META.get("QUERY_STRING", "")):
            request.META["QUERY_STRING"] = asked.replace(ZERO, "")
        return self.get_response(request)
