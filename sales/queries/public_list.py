"""What the public list shows, and whether what is kept of it is still so."""

from datetime import timedelta

from django.db.models import Count, Max, QuerySet, Subquery, Value
from django.utils import timezone

from inventory.models import Operation, Photo
from inventory.queries.photos import newest_photos
from sales.models import Buyer, BuyerLink, HoldChange, ListNews, Price, PublicList, StandStep
from sales.offering import CHOSEN, Choice
from sales.public import PublicLine
from sales.queries.offer import Offer

# What no entry tells of, such as a plant's new name, shows after this while.
FRESH = timedelta(minutes=5)
IN_FEED = 50
MARKS = ("operation", "hold", "price", "stand", "photos", "photo")


def public_list() -> PublicList:
    """Return the public list and, in the same question, where the ledger is."""
    row = PublicList.objects.annotate(
        operation=_last(Operation),
        hold=_last(HoldChange),
        price=_last(Price),
        stand=_last(StandStep),
        photos=_in_use(Photo, Count("pk")),
        photo=_in_use(Photo, Max("pk")),
    ).first()
    return row or PublicList()


def mark_of(row: PublicList) -> str:
    """Return where the ledger is: what is shown differs only where this or the day does."""
    found = (getattr(row, name, None) for name in MARKS)
    return " ".join(str(part or 0) for part in (timezone.localdate(), *found))


def is_fresh(row: PublicList) -> bool:
    """Say whether the lines kept are still those that would be shown."""
    if row.kept_at is None or row.mark != mark_of(row):
        return False
    return abs(timezone.now() - row.kept_at) < FRESH


def choice_of(row: PublicList, on_list: str) -> Choice:
    """Return what the public list shows, with the prices of a list or none."""
    left_out = set() if row.shows_later else {"ready_on"}
    columns = tuple(key for key in CHOSEN if key not in left_out)
    return Choice(columns=columns, on_list=on_list, numbers=row.numbers)


def lines_of(offered: Offer, with_photos: bool) -> list[PublicLine]:
    """Return the lines of an offer, each with the newest picture of its plant."""
    plants = {line.plant.pk for line in offered.lines}
    photos = newest_photos(plants) if with_photos else {}
    return [PublicLine.of(line, photos.get(line.plant.pk)) for line in offered.lines]


def kept_lines(row: PublicList) -> list[PublicLine]:
    """Return the lines as they were kept."""
    return [PublicLine.from_kept(line) for line in row.kept]


def news() -> list[ListNews]:
    """Return what changed on the list, the newest first."""
    return list(ListNews.objects.all()[:IN_FEED])


def link_in_force(token: str) -> BuyerLink | None:
    """Return the link of a token, unless it was stopped or has ended."""
    return standing_links().filter(token=token).first()


def standing_links() -> QuerySet:
    """Return the links that lead to the list today, those that end first on top."""
    rows = BuyerLink.objects.filter(is_withdrawn=False, last_on__gte=timezone.localdate())
    return rows.select_related("buyer").order_by("last_on", "pk")


def standing_link(buyer: Buyer) -> BuyerLink | None:
    """Return the link that a buyer has, if it leads anywhere."""
    return standing_links().filter(buyer=buyer.kept).first()


def shows_photos() -> bool:
    """Say whether anybody outside may see pictures: on the list, or by a link."""
    row = PublicList.objects.first()
    if row is None or not row.shows_photos:
        return False
    return row.is_on or standing_links().exists()


def _last(model):
    return Subquery(model.objects.order_by("-pk").values("pk")[:1])


def _in_use(model, told):
    rows = model.objects.filter(is_removed=False).order_by().annotate(all=Value(1))
    return Subquery(rows.values("all").annotate(told=told).values("told"))
