"""The page that a watch from outside asks: one word for strangers, the reasons for the owner."""

import ipaddress

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from nursery.openly import open_to_all
from nursery.watching.health import DOWN
from nursery.watching.health import health as how_it_is


@open_to_all
@never_cache
@require_safe
def health(request: HttpRequest) -> HttpResponse:
    """Say how the ledger is. It asks for no login and leaves no cookie."""
    found = how_it_is()
    told = {"status": found.state, "checks": {one.name: one.state for one in found.findings}}
    if _is_at_this_machine(request):
        told["words"] = {one.name: one.words for one in found.findings}
    return JsonResponse(told, status=503 if found.state == DOWN else 200)


def _is_at_this_machine(request: HttpRequest) -> bool:
    """Say whether the asker sits at this machine and no proxy brought a visitor."""
    brought = {"X-Forwarded-For", "X-Forwarded-Proto", "Forwarded"} & set(request.headers)
    try:
        here = ipaddress.ip_address(request.META.get("REMOTE_ADDR", "")).is_loopback
    except ValueError:
        return False
    return here and not brought
