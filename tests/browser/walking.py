"""Find the pages of a ledger the way a person does: by its links, from Today on."""

import re
from functools import cache
from html import unescape
from urllib.parse import urljoin, urlsplit

from django.urls import URLPattern, get_resolver, resolve

NO_PAGE = re.compile(r"\.(zip|svg|pdf|xml|csv|xlsx|json|txt|ics)(\?|$)|[?&]_export=")
# What no link leads to: the search field above every page does.
TYPED = {"search": "/search/?q=thuja"}
# Each is written to and never read, or is the door.
WRITTEN_TO = {
    *("undo", "undo-sale", "undo-payment", "undo-prices", "undo-articles", "undo-tax"),
    *("tax-plant", "two-buyers"),
    *("sell-send",),
    *("first-season-put-away", "first-season-back"),
    *("hold-let-go", "undo-hold", "ready-back", "grade-back"),
    *("notebook-bring-in", "notebook-forget"),
    *("supply-undo", "bill-undo", "closing-close", "closing-reopen"),
    *("share-stop", "share-again"),
    *("paid-ahead-charge", "paid-ahead-undo"),
    *("photo-remove", "photo-back", "expected-loss-back"),
    *("target-remove", "target-back", "target-change-back"),
    "undo-stand-step",
    *("login-end", "logins-end", "doors-end", "doors-let-in"),
    *("recovery-codes", "second-step-off", "step-asked", "step-left"),
    *("calendar-link", "calendar-renew", "calendar-stop", "calendar-back"),
    *("method-remove", "method-back", "starter-copy", "step-remove", "step-back"),
    *("steps-done", "steps-undo", "bench-note-remove", "bench-note-back"),
    *("spraying-remove", "spraying-back"),
    *("link-stop", "link-back", "request-put-away", "request-back"),
    *("contact-remove", "contact-back", "certificate-remove", "certificate-back"),
    *("certificate-file-remove", "certificate-file-back"),
    *("helper-link", "helper-role", "helper-out", "helper-back"),
}
# The demo nursery has none to open; tests of their own read these pages.
NOT_IN_THE_DEMO = {
    *("label-stock-edit", "request", "shared", "bill"),
    *("notebook-rows", "notebook-columns", "notebook-row", "notebook-done"),
    *("stand-day", "stand-put-out", "stand-bring-back", "stand-money", "stand-close"),
}
# What a phone fetches by itself to sell without signal.
FETCHED = {"sell-shell", "sell-data", "stand-worker", "stand-manifest"}
DOORS = {"welcome", "login", "login-code", "logout", "helper-join"}
# What anyone may see; the demo shows nothing to all. See tests/browser/test_public_list.py.
OPEN = {
    *("public-list", "public-feed", "public-photo", "buyer-list"),
    *("public-ask", "buyer-ask"),
    *("robots", "sitemap", "health"),
    *("shared", "shared-pdf"),
    *("calendar-read", "public-calendar", "buyer-calendar"),
}
# Files without a plant, a price or a name in them, which a phone fetches before its login counts.
SAY_NOTHING = {"stand-worker", "stand-manifest"}
DRAWN = {
    "buyer-facts",
    *("lot-chart", "lot-life-chart", "batch-chart", "supply-chart"),
    *("margin-chart", "demand-chart", "losses-chart", "year-chart", "year-pdf", "taxed-pdf"),
    *("document-pdf", "document-xml", "delivery-pdf", "statement-pdf", "logo", "hold-pick-list"),
    *("labels-sheet", "shared-pdf", "certificate-file", "offer-file", "photo", "photo-tiny"),
    *("stand-chart", "stand-sheet", "calendar-file", "week-sheet"),
    *("ready-chart", "room-chart"),
    *("rooting-chart", "rooting-batches-chart"),
    *("survival-chart", "survival-groups-chart"),
}
# More than any walk needs: choices of a list lead on and on to the same pages.
MOST_READ = 400
KINDS = {
    "begin": ("stick", "sow", "divide", "receive", "opening"),
    "take-out": ("use", "give"),
    "buyer-account": ("take", "back"),
    # No hold of the demo with a deposit was let go; test_hold_deposit_pages.py opens the other.
    "hold-deposit": ("take",),
    # None who owes in the demo has money on account; tests/test_money_pages.py opens the other.
    "document-account": ("let-go",),
    "recipe-edit": ("stick", "pot_up"),
}


def every_page() -> list[str]:
    """Name each page that the addresses promise, once for each of its kinds."""
    names = (
        set(names_under(get_resolver().url_patterns))
        - WRITTEN_TO
        - DOORS
        - OPEN
        - DRAWN
        - FETCHED
        - NOT_IN_THE_DEMO
    )
    kinds = {name: [f"{name} {kind}" for kind in KINDS.get(name, ())] or [name] for name in names}
    return sorted(page for pages in kinds.values() for page in pages)


def names_under(patterns):
    """Yield the name of each address, also of those that other files add."""
    for pattern in patterns:
        if isinstance(pattern, URLPattern):
            yield pattern.name
        else:
            yield from names_under(pattern.url_patterns)


def find_pages(read, wanted: list[str]) -> dict[str, str]:
    """Follow the links from Today, and return an address of each kind of page.

    `read` returns the text of an address. A kind not yet seen is read first, and of the
    others what is no choice within a list; the walk ends when all that is wanted is found,
    nothing is left to read, or enough was read.
    """
    found, waiting = {}, ["/", *TYPED.values()]
    seen = set(waiting)
    for _ in range(MOST_READ):
        if not waiting or found.keys() >= set(wanted):
            break
        address = min(waiting, key=lambda link: (page_at(link) in found, "?" in link))
        waiting.remove(address)
        text = read(address)
        found.setdefault(page_at(address), address)
        new = [link for link in dict.fromkeys(links_in(text, address)) if link not in seen]
        seen.update(new)
        waiting.extend(new)
    return found


@cache
def page_at(address: str) -> str:
    """Name the page at an address, with its kind."""
    match = resolve(urlsplit(address).path)
    return " ".join(filter(None, (match.url_name, match.kwargs.get("kind"))))


def links_in(text: str, address: str) -> list[str]:
    """Return the pages of the ledger that a text leads to."""
    written = re.findall(r'<a\b[^>]*?href="([^"]+)"', text)
    links = (urljoin(address, unescape(link)) for link in written)
    inside = (link.partition("#")[0] for link in links if link.startswith("/"))
    return [link for link in inside if link and not NO_PAGE.search(link)]
