"""Where labels lie on a sheet. Plain numbers, no Django; all lengths in millimetres."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

INCH = Decimal("25.4")
SHEETS = {
    "A4": (Decimal(210), Decimal(297)),
    "letter": (Decimal("8.5") * INCH, Decimal(11) * INCH),
}
ROLL = "roll"


@dataclass(frozen=True)
class Grid:
    """Labels of one size in columns and rows on a sheet, or one behind the other on a roll.

    `left` and `top` are the margins before the first label, `across` and `down` the gaps
    from one label to the next.
    """

    paper: str
    columns: int
    rows: int
    width: Decimal
    height: Decimal
    left: Decimal = Decimal(0)
    top: Decimal = Decimal(0)
    across: Decimal = Decimal(0)
    down: Decimal = Decimal(0)

    @property
    def page(self) -> tuple[Decimal, Decimal]:
        """The width and height of the sheet; a page of a roll is as large as its label."""
        return SHEETS.get(self.paper, (self.width, self.height))

    @property
    def on_a_sheet(self) -> int:
        return self.columns * self.rows

    @property
    def is_roll(self) -> bool:
        return self.paper == ROLL

    @property
    def reach(self) -> tuple[Decimal, Decimal]:
        """How far the last label's edge lies from the sheet's left and upper edge."""
        return (
            self.left + self.columns * self.width + (self.columns - 1) * self.across,
            self.top + self.rows * self.height + (self.rows - 1) * self.down,
        )

    @property
    def corners(self) -> list[tuple[Decimal, Decimal]]:
        """The left and upper edge of each label, row by row from the upper left."""
        return [
            (
                self.left + column * (self.width + self.across),
                self.top + row * (self.height + self.down),
            )
            for row in range(self.rows)
            for column in range(self.columns)
        ]

    @property
    def measures(self) -> str:
        """Its measures in words: "3 × 8 on A4, 70 × 36 mm"."""
        size = f"{short(self.width)} × {short(self.height)} mm"
        if self.is_roll:
            return f"A roll, {size}"
        inches = ""
        if self.paper == "letter":
            inches = f" ({short(self.width / INCH, 3)} × {short(self.height / INCH, 3)} in)"
        return f"{self.columns} × {self.rows} on {self.paper}, {size}{inches}"

    def sheets(self, labels: list, start: int = 1) -> Iterator[list[tuple[int, object]]]:
        """Yield for each sheet its (place on the sheet from 0, label).

        The first sheet begins at the label numbered `start`, from 1; a roll has no other.
        """
        first = 0 if self.is_roll else start - 1
        placed = [(first + number, label) for number, label in enumerate(labels)]
        for sheet in range(0, first + len(labels), self.on_a_sheet):
            here = range(sheet, sheet + self.on_a_sheet)
            if found := [(place - sheet, label) for place, label in placed if place in here]:
                yield found


def short(length: Decimal, decimals: int = 2) -> str:
    """Write a length with no more decimals than these, and none it does not need."""
    return f"{length:.{decimals}f}".rstrip("0").rstrip(".")


def _mm(*numbers) -> list[Decimal]:
    return [Decimal(str(number)) for number in numbers]


def _inches(*numbers) -> list[Decimal]:
    return [Decimal(str(number)) * INCH for number in numbers]


# Grids in common use, by their measures alone.
COMMON = {
    "a4-3x8": Grid("A4", 3, 8, *_mm(70, 36, 0, 4.5)),
    "a4-3x7": Grid("A4", 3, 7, *_mm(63.5, 38.1, 7.2, 15.15, 2.55)),
    "a4-2x7": Grid("A4", 2, 7, *_mm(99.1, 38.1, 4.65, 15.15, 2.5)),
    "a4-2x4": Grid("A4", 2, 4, *_mm(99.1, 67.7, 4.65, 13.1, 2.5)),
    "a4-4x10": Grid("A4", 4, 10, *_mm(52.5, 29.7)),
    "a4-5x13": Grid("A4", 5, 13, *_mm(38.1, 21.2, 4.75, 10.7, 2.5)),
    "letter-3x10": Grid("letter", 3, 10, *_inches(2.625, 1, 0.1875, 0.5, 0.125)),
    "letter-2x10": Grid("letter", 2, 10, *_inches(4, 1, 0.15625, 0.5, 0.1875)),
    "letter-2x5": Grid("letter", 2, 5, *_inches(4, 2, 0.15625, 0.5, 0.1875)),
    "letter-2x3": Grid("letter", 2, 3, *_inches(4, "3.3333333", 0.15625, 0.5, 0.1875)),
    "roll-50x25": Grid(ROLL, 1, 1, *_mm(50, 25)),
    "roll-57x32": Grid(ROLL, 1, 1, *_mm(57, 32)),
    "roll-76x51": Grid(ROLL, 1, 1, *_mm(76, 51)),
    "roll-102x51": Grid(ROLL, 1, 1, *_mm(102, 51)),
}
