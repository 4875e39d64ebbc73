"""Tell the losses that were to be expected from those that were not.

IAS 2 para 16 keeps abnormal amounts of wasted materials, labour and other production costs
out of the cost of inventories.  So normal losses are carried by the survivors and abnormal
ones are expensed.  Where fewer plants die than expected, the survivors simply cost less: no
abnormal gain is booked, because nothing was earned.  A dead plant has no scrap value.
"""

from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple


class LossSplit(NamedTuple):
    """Hold one write-off as the plants the survivors carry and the plants expensed."""

    normal: int
    abnormal: int


def allowance(started: int, expected_percent: Decimal) -> int:
    """Return how many of the plants that started a stage may be lost as normal, rounded down."""
    if not 0 <= expected_percent <= 100:
        raise ValueError(
            f"An expected loss lies between 0 and 100 percent, not {expected_percent}."
        )
    return int(started * Fraction(expected_percent) / 100)


def split_loss(
    lost: int, started: int, lost_before: int, expected_percent: Decimal | None
) -> LossSplit:
    """Split a loss by what the stage's allowance still covers.

    `started` is how many plants began the stage, `lost_before` the normal losses it has
    already taken.  With no expected percent set, all of the loss is normal: the ledger
    cannot call a loss abnormal that nobody has put a number to.
    """
    for number in (lost, started, lost_before):
        if number < 0:
            raise ValueError(f"A number of plants cannot be less than zero: {number}.")
    if expected_percent is None:
        return LossSplit(normal=lost, abnormal=0)
    covered = max(0, allowance(started, expected_percent) - lost_before)
    normal = min(lost, covered)
    return LossSplit(normal=normal, abnormal=lost - normal)
