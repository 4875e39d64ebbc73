"""What the database refuses of prices and article numbers, each by the rule's name."""

from collections.abc import Callable
from decimal import Decimal
from uuid import UUID, uuid4

from inventory.models import Lot, Nursery
from sales.models import ArticleNumber, Buyer, Price
from tests.factories import DAY

ONE_REQUEST = UUID(int=7)


def price(lot: Lot, **more) -> Price:
    facts = {"plant": lot.plant, "container": lot.container, "valid_from": DAY}
    return Price.objects.create(
        **facts | {"amount": Decimal(1), "request_id": uuid4()} | more,
    )


def number(lot: Lot, **more) -> ArticleNumber:
    facts = {"plant": lot.plant, "container": lot.container, "valid_from": DAY}
    return ArticleNumber.objects.create(
        **facts | {"gtin": "6291041500213", "request_id": uuid4()} | more
    )


def twice(make: Callable) -> None:
    for _ in range(2):
        make()


PRICE_RULES = {
    "sales_price_is_not_negative": lambda lot: price(lot, amount=Decimal(-1)),
    "sales_price_is_on_a_known_list": lambda lot: price(lot, list="friends"),
    "sales_price_is_from_one_plant_on": lambda lot: price(lot, least=0),
    "sales_price_is_set_once_by_a_request": lambda lot: twice(
        lambda: price(lot, request_id=ONE_REQUEST)
    ),
    "sales_articlenumber_has_the_digits_of_a_gtin": lambda lot: number(lot, gtin="629"),
    "sales_articlenumber_is_set_once_by_a_request": lambda lot: twice(
        lambda: number(lot, request_id=ONE_REQUEST)
    ),
    "sales_buyer_price_list_is_known": lambda lot: Buyer.objects.create(
        name="X", price_list="friends"
    ),
    "inventory_nursery_counted_for_price_is_known": lambda lot: Nursery.objects.create(
        name="X", counted_for_price="all"
    ),
}
