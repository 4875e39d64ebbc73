"""Say to browsers which pages may use the camera: those that scan, and no other."""

from collections.abc import Callable
from functools import wraps

from django.http import HttpRequest, HttpResponse

HEADER = "Permissions-Policy"
NOTHING = "camera=(), microphone=(), geolocation=(), payment=(), usb=()"


class NoCamera:
    """Forbid every page what no page needs; a page that scans has said otherwise."""

    def __init__(self, get_response: Callable):
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault(HEADER, NOTHING)
        return response


def may_use_camera(view: Callable) -> Callable:
    """Let the pages of a view use the camera themselves, and nothing they embed."""

    @wraps(view)
    def seeing(request, *args, **kwargs):
        response = view(request, *args, **kwargs)
        response.headers[HEADER] = NOTHING.replace("camera=()", "camera=(self)")
        return response

    return seeing
