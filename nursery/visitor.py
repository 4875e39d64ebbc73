"""Tell visitors apart, without keeping who they are."""

import ipaddress

from django.conf import settings
from django.http import HttpRequest
from django.utils.crypto import salted_hmac

# A house is given a whole network of this size.
IPV6_HOUSE = 64


def is_this_machine(request: HttpRequest) -> bool:
    """Say whether a request was made on the ledger's own machine, and not brought by a proxy."""
    if "X-Forwarded-For" in request.headers:
        return False
    try:
        return ipaddress.ip_address(request.META.get("REMOTE_ADDR", "")).is_loopback
    except ValueError:
        return False


def address_of(request: HttpRequest) -> str:
    """Return the address a request came from.

    Behind a proxy that speaks https it is the last address the proxy wrote down, which the
    visitor cannot choose.
    """
    if settings.BEHIND_TLS and (told := request.headers.get("X-Forwarded-For")):
        return told.rpartition(",")[2].strip()
    return request.META.get("REMOTE_ADDR", "")


def origin_of(request: HttpRequest) -> str:
    """Return a keyed hash of the network a request came from; nobody reads an address from it."""
    network = _network(address_of(request))
    return salted_hmac("nursery.visitor", network, algorithm="sha256").hexdigest()


def _network(address: str) -> str:
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return address
    if found.version == 4:
        return str(found)
    return str(ipaddress.ip_network((found, IPV6_HOUSE), strict=False))
