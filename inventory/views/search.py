"""Search: a lot or batch code, a botanical or a common name."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.queries.search import search as find
from nursery.camera import may_use_camera


@require_safe
@may_use_camera
def search(request: HttpRequest) -> HttpResponse:
    """Show what was found, or go straight to the page of the only thing that was."""
    text = request.GET.get("q", "").strip()[:120]
    found = find(text)
    if found.sole:
        page = f"inventory:{found.sole._meta.model_name}"
        return redirect(reverse(page, args=[found.sole.pk]))
    context = {"place": "growing", "text": text, "found": found}
    return render(request, "inventory/search.html", context)
