"""What one save of the price sheet, or of the article numbers, wrote."""

from uuid import UUID

from django.urls import reverse
from django.utils.dateformat import format as date_format

from nursery.once import Saved
from sales.models import ArticleNumber, Price


def saved_prices(request_id: UUID) -> Saved | None:
    """Return what a request set on a price list, or None where it set nothing."""
    prices = list(Price.objects.filter(request_id=request_id))
    if not prices:
        return None
    first, number = prices[0], len(prices)
    ended = sum(price.amount is None for price in prices)
    words = f"{number} price{'' if number == 1 else 's'} on the {first.list} list set"
    words += f", {ended} of them ended" if ended else ""
    return Saved(
        f"{words}, from {date_format(first.valid_from, 'j F Y')} on.",
        f"{reverse('sales:prices')}?list={first.list}",
        reverse("sales:undo-prices", args=[request_id]),
    )


def saved_articles(request_id: UUID) -> Saved | None:
    """Return what a request wrote of article numbers, or None where it wrote nothing."""
    number = ArticleNumber.objects.filter(request_id=request_id).count()
    if not number:
        return None
    return Saved(
        f"{number} article number{'' if number == 1 else 's'} written down.",
        reverse("sales:articles"),
        reverse("sales:undo-articles", args=[request_id]),
    )
