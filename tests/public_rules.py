"""What the database refuses of the list on the web and of wishes from it, by the rule's name."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

from django.utils import timezone

from inventory.models import Lot
from sales.models import Buyer, BuyerLink, ListNews, PlantRequest, PublicList, RequestedPlants
from tests.factories import DAY, BuyerFactory


def link(buyer: Buyer | None = None, **more) -> BuyerLink:
    facts = {"token": "a" * 32, "made_on": DAY, "last_on": DAY + timedelta(30)}
    return BuyerLink.objects.create(buyer=buyer or BuyerFactory(), **facts | more)


def two_links(lot: Lot) -> None:
    buyer = BuyerFactory()
    for letter in "ab":
        link(buyer, token=letter * 32)


def request(**more) -> PlantRequest:
    facts = {"name": "Ada", "phone": "1", "received_at": timezone.now(), "request_id": uuid4()}
    return PlantRequest.objects.create(**facts | more)


def wish(lot: Lot, **more) -> RequestedPlants:
    facts = {"plant": lot.plant, "container": lot.container, "quantity": 3}
    return RequestedPlants.objects.create(request=request(), **facts | more)


PUBLIC_RULES: dict[str, Callable[[Lot], object]] = {
    # Saved one by one, it is always the first row.
    "sales_publiclist_is_one_row": lambda lot: PublicList.objects.bulk_create([PublicList(pk=2)]),
    "sales_publiclist_numbers_are_known": lambda lot: PublicList.objects.create(numbers="many"),
    "sales_publiclist_requests_have_an_age": lambda lot: PublicList.objects.create(request_days=0),
    "sales_publiclist_price_list_is_known": lambda lot: PublicList.objects.create(on_list="X"),
    "sales_listnews_says_something": lambda lot: ListNews.objects.create(at=timezone.now()),
    "sales_buyerlink_one_link_stands": two_links,
    "sales_buyerlink_token_is_long": lambda lot: link(token="a" * 31),
    "sales_buyerlink_ends_no_earlier_than_it_begins": lambda lot: link(last_on=DAY - timedelta(1)),
    "sales_plantrequest_has_a_name": lambda lot: request(name=""),
    "sales_plantrequest_can_be_answered": lambda lot: request(phone=""),
    "sales_requestedplants_are_some": lambda lot: wish(lot, quantity=0),
    "sales_requestedplants_price_is_not_negative": lambda lot: wish(lot, unit_price=Decimal(-1)),
}
