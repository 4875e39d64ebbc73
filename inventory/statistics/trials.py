"""How many cuttings a trial takes to tell two treatments apart."""

from math import ceil, sqrt
from statistics import NormalDist

from inventory.statistics.proportions import USUAL, Tally, deviate

MOSTLY = 0.8  # the usual power: a trial of this size finds the difference four times in five


def each_to_tell(one: float, other: float, power: float = MOSTLY, confidence: float = USUAL):
    """Return how many of each group tell two shares apart, or None where they are equal.

    NIST/SEMATECH e-Handbook 7.2.4.2 with the variance of two samples in place of one:
    Fleiss, Statistical Methods for Rates and Proportions, ch. 4, no continuity correction.
    """
    if one == other:
        return None
    middle = (one + other) / 2
    alike = deviate(confidence) * sqrt(2 * middle * (1 - middle))
    apart = NormalDist().inv_cdf(power) * sqrt(one * (1 - one) + other * (1 - other))
    return ceil(((alike + apart) / (one - other)) ** 2)


def more_of_each(one: Tally, other: Tally, power: float = MOSTLY) -> int | None:
    """Return how many more of the smaller group would tell, if the shares stay as they are.

    None where they are equal: then no number of plants would.
    """
    each = each_to_tell(one.share, other.share, power)
    return None if each is None else max(0, ceil(each - min(one.of, other.of)))


def cuttings_of_trial(treatments: int, each: int, trays: int = 1, times: int = 1) -> int:
    """Return the cuttings that a trial takes: treatments × trays × each in a tray × times."""
    return treatments * trays * each * times
