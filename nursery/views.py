"""Pages that belong to no single app."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    """Show what to do today and what just happened."""
    return render(request, "today.html")
