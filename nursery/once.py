"""Save an entry once, whichever way its form is come back to.

    form = MoveForm(request.POST or None, lot=lot)
    if known := saved_before(request, form):
        return known

A form opened anew gets a request id in its address. The way back in the browser leads to that
address, thus to the same id, and what is saved from there is known to be saved already.
"""

from collections.abc import Callable
from dataclasses import dataclass
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.html import format_html

from inventory.models import Operation
from inventory.queries.entries import entries_of, operations
from nursery.http import go_to
from nursery.undo import offer_undo

NAME = "request"


@dataclass(frozen=True)
class Saved:
    """What an earlier press wrote: in words, where it shows, how it is undone."""

    text: str
    url: str
    undo_url: str = ""
    is_undone: bool = False


def request_in(request: HttpRequest) -> UUID | None:
    """Return the request id that the address bears."""
    return _uuid(request.GET.get(NAME))


def with_new_request(request: HttpRequest) -> str:
    """Return the page's address with a new request id."""
    query = request.GET.copy()
    query[NAME] = str(uuid4())
    return f"{request.path}?{query.urlencode()}"


def without_request(request: HttpRequest) -> str:
    """Return the page's address as a link opens it."""
    query = request.GET.copy()
    query.pop(NAME, None)
    return f"{request.path}?{query.urlencode()}" if query else request.path


def saved_before(
    request: HttpRequest, form, find: Callable[[UUID], Saved | None] | None = None, url: str = ""
) -> HttpResponse | None:
    """Answer for a form whose request was saved, or None where it is still to be saved.

    A page opened by a link is sent on to an address with a request id, which its form gets.
    Where the entry was undone since, what is sent from its page is asked about once more,
    under a new id. `url` is where to go on, unless it is where the entry shows.
    """
    if not form.is_bound:
        if request_in(request) is None:
            return redirect(with_new_request(request))
        form.initial["request_id"] = request_in(request)
    request_id = _uuid(form["request_id"].value())
    saved = (find or saved_entry)(request_id) if request_id else None
    if saved is None:
        return None
    if not form.is_bound:
        return _opened_again(request, saved)
    if saved.is_undone:
        return _under_a_new_id(form)
    offer_undo(request, f"This was saved already: {saved.text}", saved.undo_url)
    return go_to(request, url or saved.url)


def saved_entry(request_id: UUID) -> Saved | None:
    """Return what a request wrote into the ledger."""
    found = entries_of(operations().filter(request_id=request_id))
    if not found:
        return None
    entry = found[0]
    url = entry.url or reverse("inventory:entry-list")
    return Saved(entry.text, url, entry.undo_url, entry.is_undone)


def unused_request(data) -> str:
    """Return the request id that a form sent, or nothing where something was saved under it."""
    request_id = _uuid(data.get("request_id"))
    used = request_id is None or Operation.objects.filter(request_id=request_id).exists()
    return "" if used else str(request_id)


def _opened_again(request, saved):
    if saved.is_undone:
        return redirect(with_new_request(request))
    words = (
        'This was saved already: {} Saving it again changes nothing. <a href="{}">Enter another</a>'
    )
    messages.info(request, format_html(words, _ended(saved.text), without_request(request)))
    return None


def _under_a_new_id(form):
    form.data = form.data.copy()
    form.data["request_id"] = str(uuid4())
    form.add_error(None, "This was saved and undone since. Press once more to save it anew.")


def _ended(text):
    return text if text.endswith(".") else f"{text}."


def _uuid(text):
    try:
        return text if isinstance(text, UUID) else UUID(str(text or ""))
    except ValueError:
        return None
