"""The ground plants take: spacing, area, and area times days."""

from math import sqrt

SQUARE, DIAGONAL = "square", "diagonal"
PATTERNS = (SQUARE, DIAGONAL)


def area_per_plant(spacing: float, pattern: str = SQUARE) -> float:
    """Return the area one plant takes, in the square of the spacing's unit.

    Set on the diagonal, rows are √3/2 of the spacing apart: 6-inch spacing holds
    400 pots on 100 square feet set square and 462 set diagonally (GPN, Grower 101:
    Calculations Part IV: Spacing Containers).
    """
    if spacing <= 0:
        raise ValueError("A spacing is more than nothing.")
    return spacing * spacing * (sqrt(3) / 2 if pattern == DIAGONAL else 1)


def plants_on(area: float, spacing: float, pattern: str = SQUARE) -> int:
    """Return how many plants stand on an area, by area alone."""
    return round(area / area_per_plant(spacing, pattern))
