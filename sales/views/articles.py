"""The article numbers that shops and machines know the plants by."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from inventory.errors import LedgerError
from nursery.http import go_to
from nursery.once import saved_before, without_request
from nursery.undo import offer_undo
from sales import operations
from sales.forms.articles import ArticleForm, articles_sent
from sales.queries.price_page import price_sheet
from sales.queries.saved_prices import saved_articles


@require_http_methods(["GET", "POST"])
def articles(request: HttpRequest) -> HttpResponse:
    """Show the article number of each plant in its container, and write what is typed."""
    wanted = request.GET.get("plant", "")
    sheet = price_sheet(on=timezone.localdate(), plant=wanted, also=articles_sent(request.POST))
    form = ArticleForm(request.POST or None, rows=[row for row in sheet.rows if not row.grade])
    if known := saved_before(request, form, saved_articles, url=without_request(request)):
        return known
    if form.is_valid() and _set(request, form):
        return go_to(request, without_request(request))
    context = {"place": "sell", "form": form, "wanted": wanted}
    return render(request, "sales/articles.html", context)


def _set(request, form) -> bool:
    """Write the numbers typed, and say whether they were taken."""
    request_id, today = form.cleaned_data["request_id"], timezone.localdate()
    try:
        operations.set_article_numbers(
            numbers=form.numbers(), on=today, request_id=request_id, by=request.user
        )
    except LedgerError as error:
        form.add_error(None, str(error))
        return False
    saved = saved_articles(request_id)
    offer_undo(request, saved.text, saved.undo_url)
    return True


@require_POST
def undo_articles(request: HttpRequest, request_id: UUID) -> HttpResponse:
    """Take back the article numbers of one save."""
    if operations.undo_article_numbers(request_id=request_id, by=request.user):
        messages.success(request, "The article numbers are as they were.")
    return go_to(request, "sales:articles")
