"""What a delivery note says: where each plant on it was grown, and its plant passport."""

from collections.abc import Iterable
from dataclasses import dataclass

from inventory.models import Lot
from sales.models import Document, Take
from sales.queries.document_page import Line, lines_of


@dataclass(frozen=True)
class Delivery:
    """A line and the numbers of plants that each lot gave to it."""

    line: Line
    lots: list[tuple[Lot, int]]


@dataclass(frozen=True)
class Passport:
    """The fields of a plant passport by Regulation (EU) 2016/2031, Annex VII, part A.

    A the botanical name, B the operator's registration, C the traceability code, which
    is the lot's, D the country of origin.
    """

    name: str
    registration: str
    lot: str
    origin: str


def deliveries_of(document: Document) -> list[Delivery]:
    """Return a sale's lines in order, each with its lots and how many each gave."""
    given: dict[int, dict[Lot, int]] = {}
    takes = Take.objects.filter(line__document=document).select_related("movement__from_lot")
    for take in takes.order_by("pk"):
        lots = given.setdefault(take.line_id, {})
        lot = take.movement.from_lot
        lots[lot] = lots.get(lot, 0) + take.movement.quantity
    return [Delivery(line, list(given.get(line.row.pk, {}).items())) for line in lines_of(document)]


def passports_of(document: Document, deliveries: Iterable[Delivery]) -> list[Passport]:
    """Return one passport for each plant and lot, where the nursery was registered."""
    registration = document.issued_by.get("passport_registration")
    if not registration:
        return []
    country = document.issued_by["passport_country"]
    found = [
        Passport(delivery.line.words["name"], f"{country}-{registration}", lot.code, country)
        for delivery in deliveries
        for lot, _ in delivery.lots
    ]
    return list(dict.fromkeys(found))
