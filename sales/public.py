"""One line of the public list, as it is shown, kept and compared."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Self

from inventory.models import Photo
from inventory.size_words import range_of
from sales.offering import Offered


@dataclass(frozen=True)
class PublicLine:
    """Plants that a buyer may see: no lot, no place, no cost, no other buyer.

    `anchor` is the line's place on the page; `number` is what is told of the number; `size`
    is a range of heights or spreads, without the word for it.
    """

    anchor: str
    plant_pk: int
    container_pk: int
    plant: str
    common_name: str
    container: str
    grade: str
    number: int | str
    ready_on: date | None
    price: Decimal | None
    caution: str
    photo: Mapping[str, Any] | None
    size: str = ""
    sized_by: str = ""

    def kept(self) -> dict:
        """Return the line as JSON keeps it."""
        return asdict(self) | {
            "ready_on": self.ready_on and self.ready_on.isoformat(),
            "price": None if self.price is None else str(self.price),
        }

    @classmethod
    def from_kept(cls, kept: Mapping[str, Any]) -> Self:
        """Return the line that was kept."""
        day, price = kept["ready_on"], kept["price"]
        return cls(**kept | {
            "ready_on": date.fromisoformat(day) if day else None,
            "price": None if price is None else Decimal(price),
        })  # fmt: skip

    @classmethod
    def of(cls, line: Offered, photo: Photo | None) -> Self:
        """Return an offered line with the picture of its plant."""
        later = f"-{line.ready_on.isoformat()}" if line.ready_on else ""
        return cls(
            anchor=f"p{line.plant.pk}-{line.container.pk}{_letters(line.grade)}{_bounds(line.size)}{later}",
            plant_pk=line.plant.pk,
            container_pk=line.container.pk,
            plant=line.plant.name,
            common_name=line.plant.common_name,
            container=line.container.code,
            grade=line.grade,
            number=line.number,
            ready_on=line.ready_on,
            price=line.price,
            caution=line.plant.poisonous,
            photo=photo and _facts(photo),
            size=range_of(line.size),
            sized_by=line.plant.sized_by if line.size else "",
        )


def _letters(grade):
    """Return a grade as letters and digits that an address may end with."""
    return f"-{grade.encode().hex()}" if grade else ""


def _bounds(size):
    return f"-{size.lower_mm}-{size.upper_mm}" if size else ""


def _facts(photo):
    width, height = photo.small_size
    return {"small": photo.small, "large": photo.large, "width": width, "height": height}
