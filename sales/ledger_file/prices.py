"""Prices and article numbers in the ledger file.

A price is for the list in `treatment` (empty: the stand), from `quantity` plants on (empty: 1),
and for the `grade` (empty: every grade). What has ended has "none" in place of its price.
"""

from collections.abc import Iterator

from sales.ledger_file.book import ImportBook
from sales.ledger_file.rows import Row
from sales.models import ArticleNumber, Price, PriceList
from sales.operations.articles import NewNumber, set_article_numbers
from sales.operations.price import NewPrice, set_prices

ENDED = "none"
CHUNK = 500


def read_price(row: Row, book: ImportBook) -> None:
    """Set the list price of a row."""
    price = NewPrice(
        **_what(row, book),
        amount=None if row.text("price") == ENDED else row.money("price"),
        list=row.choice("treatment", PriceList.values, PriceList.STAND),
        grade=row.text("grade"),
        least=row.quantity() if row.text("quantity") else 1,
    )
    set_prices(prices=[price], on=row.date, request_id=row.request_id)


def read_article(row: Row, book: ImportBook) -> None:
    """Write down the article number in a row's note."""
    gtin = row.needed("note", "a GTIN, as 6291041500213")
    number = NewNumber(**_what(row, book), gtin="" if gtin == ENDED else gtin)
    set_article_numbers(numbers=[number], on=row.date, request_id=row.request_id)


def price_rows() -> Iterator[dict]:
    """Yield a row for each price there ever was, by date."""
    prices = Price.objects.select_related("plant", "container").order_by("valid_from", "pk")
    for price in prices.iterator(chunk_size=CHUNK):
        yield {
            "date": price.valid_from,
            "event": "price",
            "plant": price.plant.name,
            "container": price.container.code,
            "price": ENDED if price.amount is None else price.amount,
            "treatment": "" if price.list == PriceList.STAND else price.list,
            "quantity": "" if price.least == 1 else price.least,
        } | ({"grade": price.grade} if price.grade else {})


def article_rows() -> Iterator[dict]:
    """Yield a row for each article number there ever was, by date."""
    numbers = ArticleNumber.objects.select_related("plant", "container")
    for number in numbers.order_by("valid_from", "pk").iterator(chunk_size=CHUNK):
        yield {
            "date": number.valid_from,
            "event": "article",
            "plant": number.plant.name,
            "container": number.container.code,
            "note": number.gtin or ENDED,
        }


def _what(row, book):
    code = row.choice("container", book.containers)
    plant = book.plant(row.needed("plant", "the plant's name"))
    return {"plant": plant, "container": book.containers[code]}
