"""Refuse an address that no page can mean, before any page reads it."""

from collections.abc import Callable

from django.core.exceptions import BadRequest
from django.http import HttpRequest, HttpResponse


class RefuseUnreadable:
    """Answer 400 where an address holds a zero byte, which PostgreSQL keeps in no text.

    What is sent by a form is read by the form, which says so beside the field.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]):
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, unless the address cannot be read."""
        if "\x00" in request.path_info or "%00" in request.META.get("QUERY_STRING", ""):
            raise BadRequest("The address holds a zero byte.")
        return self.get_response(request)
