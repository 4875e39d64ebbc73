"""Write down the article numbers (GTIN) of plants in their containers."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from stdnum import ean
from stdnum.exceptions import ValidationError

from inventory.models import Container, Plant
from inventory.operations.posting import ledger_held
from sales.errors import SaleRefused
from sales.models import ArticleNumber
from sales.queries.articles import article_numbers


@dataclass(frozen=True)
class NewNumber:
    """The GTIN that a plant in a container bears from now on; blank for none."""

    plant: Plant
    container: Container
    gtin: str


def set_article_numbers(
    *, numbers: Iterable[NewNumber], on: date, request_id: UUID, by=None
) -> list[ArticleNumber]:
    """Write down article numbers from a day on, all or none of them.

    The same request again changes nothing. Raises SaleRefused for what is no GTIN by its
    length and check digit (GS1 General Specifications), and for one that another plant bears.
    """
    with ledger_held():
        done = list(ArticleNumber.objects.filter(request_id=request_id))
        if done:
            return done
        rows = [
            ArticleNumber(
                plant=number.plant,
                container=number.container,
                gtin=gtin_of(number.gtin),
                valid_from=on,
                request_id=request_id,
            )
            for number in numbers
        ]
        if not rows:
            raise SaleRefused("No number was changed.", field="gtin")
        _refuse_shared(rows)
        return ArticleNumber.objects.bulk_create(rows)


def undo_article_numbers(*, request_id: UUID, by=None) -> int:
    """Forget the numbers one request set: those before them stand again."""
    with ledger_held():
        return ArticleNumber.objects.filter(request_id=request_id).delete()[0]


def gtin_of(text: str) -> str:
    """Return a GTIN without spaces and dashes, or raise SaleRefused; blank stays blank."""
    digits = text.replace(" ", "").replace("-", "")
    if not digits:
        return ""
    try:
        return ean.validate(digits)
    except ValidationError:
        raise SaleRefused(_wrong(digits), field="gtin") from None


def _wrong(digits):
    if not (digits.isascii() and digits.isdigit()) or len(digits) not in (8, 12, 13, 14):
        return f"“{digits}” is not a GTIN: it has 8, 12, 13 or 14 digits."
    right = ean.calc_check_digit(digits[:-1])
    return f"{digits} ends in {digits[-1]} where its check digit is {right}: look for a slip."


def _refuse_shared(rows):
    """Refuse a number that another plant or container bears once these are written."""
    borne = article_numbers() | {(row.plant_id, row.container_id): row.gtin for row in rows}
    for row in rows:
        bearers = [key for key, gtin in borne.items() if gtin == row.gtin]
        if row.gtin and len(bearers) > 1:
            raise SaleRefused(
                f"{row.gtin} would stand on two articles; each plant in its container needs "
                "its own.",
                field="gtin",
            )
