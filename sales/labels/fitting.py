"""How large the code and the letters on a label may be, so that what it says finds room."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from sales.labels.grid import Grid, short
from sales.labels.tags import Tag

# A point is 1/72 inch; letters of the paper's face are about half as wide as high.
POINT = Decimal("25.4") / 72
LETTER_WIDTH = Decimal("0.55")
SMALLEST, LARGEST, STEP = Decimal("4.4"), Decimal(11), Decimal("0.2")


@dataclass(frozen=True)
class Measures:
    """The measures of what stands on a label: its padding and code in mm, its type in points."""

    padding: Decimal
    code: Decimal
    type_size: Decimal


def measures_on(grid: Grid, tags: Iterable[Tag] = (), *, with_passport: bool) -> Measures:
    """Return how large the code and the letters are on labels of this size.

    The type is as large as the longest of the tags allows, so that all labels look alike.
    """
    padding = Decimal("2.5") if grid.height >= 30 else Decimal("1.5")
    inner = grid.height - 2 * padding
    room = inner * Decimal("0.5") if with_passport else inner
    code = min(room, grid.width * Decimal("0.36"), Decimal(26))
    size = min(grid.height * Decimal("0.24"), grid.width * Decimal("0.125"), LARGEST)
    width = grid.width - 2 * padding
    for tag in {tag.lot: tag for tag in tags}.values():
        while size > SMALLEST and _height(tag, size * POINT, width, code) > inner:
            size -= STEP
    return Measures(padding, code, max(size, SMALLEST))


def _height(tag, em, width, code):
    """Return about how high a tag's words are, as css/labels.css sets them."""
    plant, beside = tag.lot.plant, width - code - 1
    high = em * Decimal("1.65")
    if not tag.passport:
        high += _lines(plant.name, em, Decimal("1.1"), beside)
    high += _lines(plant.common_name, em, Decimal("0.85"), beside)
    if tag.price is not None:
        high += em * Decimal("1.6")
    if plant.poisonous:
        high += _lines(f"! {plant.poisonous}", em, Decimal("0.72"), beside) + em / 5
    if tag.passport:
        small = em * Decimal("0.82")
        name = _lines(f"A {plant.name}", small, Decimal("1.1"), width - 3)
        high = max(high, code) + name + small * Decimal("2.4") + 2
    return high


def _lines(text, em, scale, width):
    """Return how high a text is that breaks into lines of a width."""
    long = len(text) * em * scale * LETTER_WIDTH
    return (long / width).to_integral_value(ROUND_CEILING) * em * scale * Decimal("1.2")


def styled(grid: Grid, tags: list[Tag]) -> dict:
    """Return the measures as CSS writes them, whatever the language spoken."""
    size = measures_on(grid, tags, with_passport=any(tag.passport for tag in tags))
    page = grid.page
    return {
        "page_width": short(page[0], 3),
        "page_height": short(page[1], 3),
        "width": short(grid.width, 3),
        "height": short(grid.height, 3),
        "padding": short(size.padding),
        "code": short(size.code),
        "type_size": short(size.type_size),
        "corners": [(short(left, 3), short(top, 3)) for left, top in grid.corners],
    }
