"""How large plants are: ranges of height or spread, in whole millimetres. No Django here."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Self

MM_IN_INCH = Decimal("25.4")
MM_IN_CENTIMETRE = Decimal(10)
INCHES_IN_FOOT = 12
# Ranges are spoken in feet from here on: "30–36 in", then "3–4 ft". Common practice.
SPOKEN_IN_FEET = 36


@dataclass(frozen=True, order=True)
class Size:
    """A range that holds what measures at least the lower figure and less than the upper.

    So that "18–24 in" and "24–30 in" part every plant. From memory, after ANSI Z60.1.
    """

    lower_mm: int
    upper_mm: int

    def holds(self, mm: int) -> bool:
        """Say whether a plant of that height or spread is in the range."""
        return self.lower_mm <= mm < self.upper_mm

    def overlaps(self, other: Self) -> bool:
        """Say whether a plant could be in both ranges."""
        return self.holds(other.lower_mm) or other.holds(self.lower_mm)

    def spanning(self, other: Self) -> Self:
        """Return the range in which all plants of both are."""
        return type(self)(min(self.lower_mm, other.lower_mm), max(self.upper_mm, other.upper_mm))


def to_mm(number: Decimal, *, in_inches: bool) -> int:
    """Return inches or centimetres in whole millimetres, half up."""
    exact = number * (MM_IN_INCH if in_inches else MM_IN_CENTIMETRE)
    return int(exact.quantize(Decimal(1), ROUND_HALF_UP))


def from_mm(mm: int, *, in_inches: bool) -> Decimal:
    """Return millimetres in inches or centimetres, to a tenth, as they were entered."""
    exact = mm / (MM_IN_INCH if in_inches else MM_IN_CENTIMETRE)
    number = exact.quantize(Decimal("0.1"), ROUND_HALF_UP)
    return number.to_integral() if number == number.to_integral() else number


def size_in_words(size: Size, *, in_inches: bool) -> str:
    """Write a range as it is spoken: "18–24 in", "3–4 ft", "40–60 cm"."""
    numbers = [from_mm(mm, in_inches=in_inches) for mm in (size.lower_mm, size.upper_mm)]
    unit = "in" if in_inches else "cm"
    if in_inches and numbers[0] >= SPOKEN_IN_FEET and not any(n % INCHES_IN_FOOT for n in numbers):
        numbers, unit = [n // INCHES_IN_FOOT for n in numbers], "ft"
    return f"{numbers[0]}–{numbers[1]} {unit}"
