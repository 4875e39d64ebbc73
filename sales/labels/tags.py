"""What labels say: the plant, its container, the lot, and a code that leads to the lot's page."""

from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone
from django.utils.safestring import SafeString

from inventory.codes import short_path
from inventory.models import Lot, Nursery
from nursery.qr import drawn
from sales.labels.grid import Grid
from sales.queries.delivery import Passport
from sales.queries.prices import PriceBook

# Smaller passports could not be read without a magnifier, which 2017/2313 Art. 2 asks for.
PASSPORT_WIDTH, PASSPORT_HEIGHT = 60, 30


@dataclass(frozen=True)
class Tag:
    """What one label says. `price` is that of the stand; `code` is drawn as SVG."""

    lot: Lot
    code: SafeString
    price: Decimal | None = None
    passport: Passport | None = None


def tags_of(numbers: dict[Lot, int], base: str, *, with_price: bool, with_passport: bool) -> list:
    """Return the tags of lots, each as often as its number says.

    `base` is the address of this ledger, as https://ledger.example. A passport is on them
    where the nursery has a registration.
    """
    nursery = Nursery.current()
    book = (
        PriceBook(timezone.localdate(), {lot.plant_id for lot in numbers}) if with_price else None
    )
    found = []
    for lot, number in numbers.items():
        price = book and book.amount(lot.plant_id, lot.container_id, grade=lot.grade)
        passport = passport_of(lot, nursery) if with_passport else None
        tag = Tag(lot, drawn(base + short_path(lot.code)), price, passport)
        found += [tag] * number
    return found


def passport_of(lot: Lot, nursery: Nursery) -> Passport | None:
    """Return a lot's plant passport, where the nursery is registered for them."""
    if not nursery.passport_registration:
        return None
    country = nursery.passport_country
    registration = f"{country}-{nursery.passport_registration}"
    return Passport(lot.plant.name, registration, lot.code, country)


def bears_passport(grid: Grid) -> bool:
    """Say whether a passport on these labels could still be read."""
    return grid.width >= PASSPORT_WIDTH and grid.height >= PASSPORT_HEIGHT
