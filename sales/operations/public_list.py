"""Show the list on the web, keep what it shows, and give buyers links of their own."""

import secrets
from datetime import date, timedelta

from django.utils import timezone

from inventory.operations.posting import ledger_held
from sales.documents.offers import voice_for
from sales.documents.words import speaking
from sales.errors import SaleRefused
from sales.models import Buyer, BuyerLink, ListNews, PublicList
from sales.operations.labels import TOKEN_BYTES
from sales.public_news import changes_between
from sales.queries.offer import offer
from sales.queries.public_list import (
    choice_of,
    is_fresh,
    kept_lines,
    lines_of,
    mark_of,
    public_list,
)

SHOWN = (
    *("is_on", "greeting", "numbers", "on_list", "shows_later", "shows_photos"),
    *("call_name", "phone", "email", "takes_requests", "request_days"),
)
MOST_NEWS = 200
LONGEST = timedelta(days=366)


def change_public_list(*, by=None, **facts) -> PublicList:
    """Write what the list on the web shows, and show it so at once.

    Raises SaleRefused where it would be on and tell nobody how to reach the nursery.
    """
    with ledger_held():
        row = public_list()
        for name in SHOWN:
            if name in facts:
                value = facts[name]
                setattr(row, name, value.strip() if isinstance(value, str) else value)
        if row.is_on and not (row.phone or row.email):
            raise SaleRefused(
                "Give a phone number or an e-mail address, so that a buyer can reach you.",
                field="phone",
            )
        row.full_clean()
        row.save()
        return _keep(row)


def refresh_public_list() -> PublicList:
    """Work out the list on the web anew where the ledger moved on, and return it.

    What changed is told by its feed. Where another did it meanwhile nothing is written.
    """
    with ledger_held():
        row = public_list()
        return row if is_fresh(row) or not row.is_on else _keep(row)


def _keep(row):
    """Keep the lines as they are now, with what is new of them."""
    before, offered = kept_lines(row), offer(choice_of(row, row.on_list))
    now = lines_of(offered, row.shows_photos)
    at = timezone.now()
    if row.is_on and before != now:
        row.changed_at = at
        with speaking(*voice_for(None)):
            told = changes_between(before, now)
        ListNews.objects.bulk_create(
            ListNews(at=at, anchor=one.anchor, title=one.title, said=one.said) for one in told
        )
        old = ListNews.objects.order_by("-pk").values("pk")[MOST_NEWS:]
        ListNews.objects.filter(pk__in=[row["pk"] for row in old]).delete()
    row.kept = [line.kept() for line in now] if row.is_on else []
    row.tax_included = offered.tax_included
    row.mark, row.kept_at = mark_of(row), at
    row.save()
    return row


def make_buyer_link(*, buyer: Buyer, last_on: date, by=None) -> BuyerLink:
    """Make a link that shows a buyer the list at their prices until a day; return it.

    While one stands it is the one returned, kept until that day. Raises SaleRefused for a
    day gone by or more than a year ahead.
    """
    with ledger_held():
        today = timezone.localdate()
        if not today <= last_on <= today + LONGEST:
            raise SaleRefused(
                "Choose a day from today on, no more than a year ahead.", field="last_on"
            )
        standing = BuyerLink.objects.filter(buyer=buyer, is_withdrawn=False).first()
        if standing and standing.last_on < today:
            # One that has ended stays so: whoever has it gets no further.
            stop_buyer_link(link=standing)
            standing = None
        if standing is None:
            token = secrets.token_urlsafe(TOKEN_BYTES)
            standing = BuyerLink(buyer=buyer, token=token, made_on=today)
        standing.last_on = last_on
        standing.save()
        return standing


def stop_buyer_link(*, link: BuyerLink, by=None) -> None:
    """Let a link lead nowhere from now on. `restart_buyer_link` undoes it."""
    with ledger_held():
        BuyerLink.objects.filter(pk=link.pk).update(is_withdrawn=True)


def restart_buyer_link(*, link: BuyerLink, by=None) -> BuyerLink:
    """Let a stopped link lead to the list again, unless another was made since."""
    with ledger_held():
        standing = BuyerLink.objects.filter(buyer=link.buyer, is_withdrawn=False).first()
        if standing:
            return standing
        link.is_withdrawn = False
        link.save(update_fields=["is_withdrawn"])
        return link
