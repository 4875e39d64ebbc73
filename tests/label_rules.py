"""What the database refuses of labels and of shared documents, each by the rule's name."""

from collections.abc import Callable
from decimal import Decimal

from inventory.models import Lot
from sales.models import Document, LabelStock, SharedPaper
from tests.factories import DAY


def stock(**more) -> LabelStock:
    facts = {"name": "X", "paper": "A4", "width": Decimal(70), "height": Decimal(37)}
    return LabelStock.objects.create(**facts | more)


def share(*tokens: str) -> None:
    """Share one document by a link for each token."""
    facts = {"number": "X-1", "kind": "sale", "date": DAY, "net": Decimal(1), "tax": Decimal(0)}
    document = Document.objects.create(**facts)
    for token in tokens:
        SharedPaper.objects.create(document=document, token=token)


LABEL_RULES: dict[str, Callable[[Lot], object]] = {
    "sales_labelstock_paper_is_known": lambda lot: stock(paper="A5"),
    "sales_labelstock_has_labels": lambda lot: stock(columns=0),
    "sales_labelstock_labels_are_large_enough": lambda lot: stock(height=Decimal("9.99")),
    "sales_labelstock_margins_are_not_negative": lambda lot: stock(down=Decimal("-0.01")),
    "sales_sharedpaper_one_link_stands": lambda lot: share("a" * 32, "b" * 32),
    "sales_sharedpaper_token_is_long": lambda lot: share("a" * 31),
}
