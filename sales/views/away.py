"""Selling without signal: what the phone keeps, and the door it sends its sales to."""

import json

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from inventory.errors import LedgerError
from nursery.camera import may_use_camera
from nursery.undo import offer_undo
from sales import operations
from sales.forms.sell import SaleForm
from sales.forms.sent import SentReader, Unreadable, asked_total
from sales.operations.sent import asked_words
from sales.queries.stand_data import stand_data
from sales.views.sell import stand_context

KEPT_FILES = (
    *("css/vendor/simple.css", "css/tokens.css", "css/base.css", "css/layout.css"),
    *("css/parts.css", "css/print.css", "css/sell.css", "icons/favicon.svg", "icons/icons.svg"),
    *("django_htmx/htmx-2.min.js", "js/ledger.js", "js/vendor/idb.js"),
    *("js/stand-sums.js", "js/stand-queue.js", "js/stand.js", "js/stand-waiting.js"),
    *("js/scan.js", "css/labelled.css", "icons/plants.svg"),
)


@require_safe
@never_cache
def data(request: HttpRequest) -> HttpResponse:
    """Give all that is needed to sell without asking again."""
    return JsonResponse(stand_data(timezone.localdate(), request.user))


@require_safe
@never_cache
@may_use_camera
def shell(request: HttpRequest) -> HttpResponse:
    """Show the stand as a phone keeps it: nothing chosen, nothing said."""
    form = SaleForm(None, state={}, today=timezone.localdate())
    context = stand_context(request, form) | {"rows": [], "undo": None, "messages": []}
    return render(request, "sales/sell.html", context)


@require_safe
@never_cache
def waiting(request: HttpRequest) -> HttpResponse:
    """Show what this phone has not sent yet, and what it sent."""
    context = {"place": "sell", "page_class": "sell", "undo": None, "messages": []}
    return render(request, "sales/waiting.html", context)


@require_POST
def send(request: HttpRequest) -> HttpResponse:
    """Book the sales a phone sends, in their order, and answer what became of each."""
    try:
        sent = json.loads(request.body)
        reader = SentReader(sent["sales"], sent.get("clock", ""))
    except (Unreadable, ValueError, KeyError, TypeError, AttributeError) as error:
        return JsonResponse({"wrong": str(error)}, status=400)
    results = [_booked(request, reader, row) for row in reader.rows]
    if sent.get("now") and len(results) == 1 and "url" in results[0]:
        offer_undo(request, results[0]["words"], results[0]["undo"])
    return JsonResponse({"results": results})


def _booked(request, reader, row):
    """Book one sale, or say why not: it is another person's, or cannot be read."""
    seller = row.get("seller") or {}
    if seller.get("key") != request.user.pk:
        return {"request": row.get("request"), "whose": str(seller.get("name", ""))}
    try:
        document = operations.book_sent(sale=reader.sale(row), by=request.user)
    except (LedgerError, Unreadable) as error:
        return {"request": row.get("request"), "refused": str(error)}
    plants = sum(item["quantity"] for item in row["items"])
    return {
        "request": row["request"],
        "number": document.number,
        "url": reverse("sales:document", args=[document.pk]),
        "undo": reverse("sales:undo-sale", args=[document.pk]),
        "words": f"Sold {plants} {'plant' if plants == 1 else 'plants'} on {document}.",
        "careful": asked_words(document, asked_total(row)),
    }


@require_safe
@login_not_required
def worker(request: HttpRequest) -> HttpResponse:
    """Give the script that answers for the stand where there is no signal."""
    files = [static(name) for name in KEPT_FILES]
    context = {
        "files": json.dumps(files),
        "sell": reverse("sales:sell"),
        "shell": reverse("sales:sell-shell"),
        "data": reverse("sales:sell-data"),
        "waiting": reverse("sales:sell-waiting"),
        "logout": reverse("logout"),
    }
    answer = render(request, "sales/worker.js", context, content_type="text/javascript")
    answer["Cache-Control"] = "no-cache"
    return answer


@require_safe
@login_not_required
def manifest(request: HttpRequest) -> HttpResponse:
    """Say how a phone puts the stand on its home screen."""
    icons = [
        {"src": static("icons/stand-192.png"), "sizes": "192x192", "type": "image/png"},
        {"src": static("icons/stand-512.png"), "sizes": "512x512", "type": "image/png"},
        {
            "src": static("icons/stand-512.png"),
            "sizes": "512x512",
            "type": "image/png",
            "purpose": "maskable",
        },
    ]
    said = {
        "name": "Nursery stand",
        "short_name": "Stand",
        "start_url": reverse("sales:sell"),
        "scope": "/",
        "display": "standalone",
        "background_color": "#fbf9f2",
        "theme_color": "#2b6636",
        "icons": icons,
    }
    return JsonResponse(said, content_type="application/manifest+json")
