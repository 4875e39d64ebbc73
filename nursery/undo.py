"""Offer Undo on the next page, once.

The session keeps one offer: the last thing that was done. The page that shows it takes it.
"""

from django.http import HttpRequest

KEY = "undo"


def offer_undo(request: HttpRequest, text: str, url: str) -> None:
    """Say on the next page what was done, with a button that posts to `url`."""
    request.session[KEY] = {"text": str(text), "url": url}


def take_undo(request: HttpRequest) -> dict[str, str] | None:
    """Return the offer and forget it, or None where nothing was done."""
    session = getattr(request, "session", None)
    if session is None or KEY not in session:
        return None
    return session.pop(KEY)
