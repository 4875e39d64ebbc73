"""The list on the web: what anyone may see of it, and machines; a buyer's own by a link."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.cache import patch_cache_control
from django.utils.feedgenerator import Atom1Feed
from django.views.decorators.cache import never_cache
from django.views.decorators.http import conditional_page, require_safe

from inventory.views.photos import picture_answer
from nursery.context import current_nursery
from nursery.openly import open_to_all
from sales import operations
from sales.documents.offers import voice_for
from sales.documents.words import say, speaking
from sales.models import PublicList
from sales.queries.offer import offer
from sales.queries.public_list import (
    FRESH,
    choice_of,
    is_fresh,
    kept_lines,
    lines_of,
    link_in_force,
    news,
    public_list,
    shows_photos,
)
from sales.structured import described, json_ld, seller_of

ROBOTS = """User-agent: *
Disallow: /
Allow: /list/
Allow: /static/
Disallow: /list/for/
"""


class Changes(Atom1Feed):
    """The feed, changed last when the list was, also while it has no entries."""

    def latest_post_date(self):
        """Return when the list changed last; without this Django says now."""
        return self.feed["changed_at"]


def shown_list() -> PublicList:
    """Return the list on the web as it is now, or 404 while it is off."""
    row = public_list()
    if not row.is_on:
        raise Http404
    return row if is_fresh(row) else operations.refresh_public_list()


def for_anyone(answer: HttpResponse) -> HttpResponse:
    """Let caches keep an answer for as long as it is fresh."""
    patch_cache_control(answer, public=True, max_age=int(FRESH.total_seconds()))
    return answer


def for_them_alone(answer: HttpResponse) -> HttpResponse:
    """Keep an answer out of indexes. Other sites are told no address anyway."""
    answer["X-Robots-Tag"] = "noindex, nofollow"
    return answer


def link_ended(request: HttpRequest) -> HttpResponse:
    """Say that a link leads nowhere any more."""
    with speaking(*voice_for(None)):
        told = {"nursery_name": current_nursery().name}
        return render(request, "public/ended.html", told, status=404)


@open_to_all
@conditional_page
@require_safe
def public_page(request: HttpRequest) -> HttpResponse:
    """Show anyone what is ready."""
    row = shown_list()
    with speaking(*voice_for(None)):
        told = _told(request, row, kept_lines(row)) | {"is_public": True}
        told["ask_url"] = reverse("sales:public-ask") if row.takes_requests else ""
        told["calendar_url"] = told["has_later"] and reverse("sales:public-calendar")
        return for_anyone(render(request, "public/list.html", told))


@open_to_all
@never_cache
@require_safe
def buyer_page(request: HttpRequest, token: str) -> HttpResponse:
    """Show a buyer what is ready at their prices."""
    link = link_in_force(token)
    if link is None:
        return link_ended(request)
    row, buyer = public_list(), link.buyer.kept
    with speaking(*voice_for(buyer)):
        offered = offer(choice_of(row, buyer.list_in_use))
        told = _told(request, row, lines_of(offered, row.shows_photos))
        told |= {"link": link, "tax_included": offered.tax_included}
        told["ask_url"] = reverse("sales:buyer-ask", args=[token]) if row.takes_requests else ""
        told["calendar_url"] = told["has_later"] and reverse("sales:buyer-calendar", args=[token])
        answer = render(request, "public/list.html", told)
    return for_them_alone(answer)


@open_to_all
@conditional_page
@require_safe
def public_feed(request: HttpRequest) -> HttpResponse:
    """Answer with the changes of the list as an Atom feed, RFC 4287."""
    row = shown_list()
    page = request.build_absolute_uri(reverse("sales:public-list"))
    nursery = current_nursery()
    with speaking(*voice_for(None)):
        feed = Changes(
            title=say("Availability list"),
            link=page,
            description="",
            language=nursery.language,
            author_name=nursery.name,
            feed_url=request.build_absolute_uri(),
            feed_guid=row.feed_id.urn,
            changed_at=row.changed_at or row.kept_at,
        )
    for one in news():
        feed.add_item(
            title=one.title,
            link=f"{page}#{one.anchor}",
            description=one.said or one.title,
            unique_id=one.key.urn,
            pubdate=one.at,
            updateddate=one.at,
        )
    answer = HttpResponse(feed.writeString("utf-8"), content_type=Atom1Feed.content_type)
    return for_anyone(answer)


@open_to_all
@require_safe
def public_photo(request: HttpRequest, name: str) -> HttpResponse:
    """Answer with a picture that the list shows."""
    if not shows_photos():
        raise Http404
    return picture_answer(name, "public")


@open_to_all
@require_safe
def sitemap(request: HttpRequest) -> HttpResponse:
    """Answer with the one page there is to find, by the protocol of sitemaps.org."""
    row = shown_list()
    told = {"page": request.build_absolute_uri(reverse("sales:public-list")), "row": row}
    text = render_to_string("public/sitemap.xml", told)
    return for_anyone(HttpResponse(text, content_type="application/xml"))


@open_to_all
@require_safe
def robots(request: HttpRequest) -> HttpResponse:
    """Tell crawlers what they may read, by RFC 9309: the list while it is on, else nothing."""
    if not public_list().is_on:
        return HttpResponse("User-agent: *\nDisallow: /\n", content_type="text/plain")
    where = request.build_absolute_uri(reverse("sitemap"))
    return HttpResponse(f"{ROBOTS}\nSitemap: {where}\n", content_type="text/plain")


def _told(request, row, lines):
    """Return all that the page shows, by what was chosen to be shown."""
    nursery = current_nursery()
    page = request.build_absolute_uri(request.path)
    photos = [line.photo for line in lines if line.photo]

    def whole(part):
        if part.startswith("#"):
            return page + part
        return request.build_absolute_uri(reverse("sales:public-photo", args=[part]))

    facts = {"name": nursery.name, "phone": row.phone, "email": row.email}
    data = described(lines, seller=seller_of(facts), currency=nursery.currency, url=whole)
    return {
        "row": row,
        "lines": lines,
        "page": page,
        "nursery_name": nursery.name,
        "currency": nursery.currency,
        "picture": whole(photos[0]["large"]) if photos else "",
        "data": json_ld(data),
        "has_prices": any(line.price is not None for line in lines),
        "has_later": any(line.ready_on for line in lines),
        "tax_included": row.tax_included,
    }
