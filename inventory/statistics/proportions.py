"""Shares of plants that came through, how sure they are, and whether two of them differ."""

from functools import cache
from math import sqrt
from statistics import NormalDist
from typing import NamedTuple

USUAL = 0.95


class Interval(NamedTuple):
    """Bounds between which a number probably lies."""

    low: float
    high: float

    def has(self, number: float) -> bool:
        """Say whether a number lies within the bounds."""
        return self.low <= number <= self.high


class Tally(NamedTuple):
    """So many came through of so many. A share of a blend may be a fraction of a plant."""

    came: float
    of: float

    @property
    def share(self) -> float:
        return self.came / self.of

    def __add__(self, other: "Tally") -> "Tally":
        return Tally(self.came + other.came, self.of + other.of)


@cache
def deviate(confidence: float = USUAL) -> float:
    """Return how many standard errors to either side a confidence takes: 1.96 for 95 %."""
    if not 0 < confidence < 1:
        raise ValueError(f"A confidence lies between 0 and 1, not at {confidence}.")
    return NormalDist().inv_cdf((1 + confidence) / 2)


def wilson(tally: Tally, confidence: float = USUAL) -> Interval:
    """Return the score interval of a share.

    Wilson, J. Am. Stat. Assoc. 22:209 (1927); NIST/SEMATECH e-Handbook 7.2.4.1. It never
    leaves 0 to 1 and is honest for few plants and for none or all that came through.
    """
    came, of = tally
    _refuse(tally)
    z = deviate(confidence)
    share, slack = came / of, z * z / of
    middle = (share + slack / 2) / (1 + slack)
    half = z * sqrt(share * (1 - share) / of + slack / of / 4) / (1 + slack)
    low = 0.0 if came == 0 else max(0.0, middle - half)
    high = 1.0 if came == of else min(1.0, middle + half)
    return Interval(low, high)


def difference(one: Tally, other: Tally, confidence: float = USUAL) -> Interval:
    """Return the interval of the first share less the second, as shares of 1.

    The hybrid of two score intervals: Newcombe, Stat. Med. 17:873 (1998), method 10.
    """
    first, second = wilson(one, confidence), wilson(other, confidence)
    apart = one.share - other.share
    down = sqrt((one.share - first.low) ** 2 + (second.high - other.share) ** 2)
    up = sqrt((first.high - one.share) ** 2 + (other.share - second.low) ** 2)
    return Interval(apart - down, apart + up)


def chance_alone(one: Tally, other: Tally) -> float:
    """Return how often chance alone would part two alike groups as far as this, or farther.

    Fisher's exact test, two-sided (The Design of Experiments, 1935), on whole plants.
    """
    from scipy.stats import fisher_exact

    rows = [[round(tally.came), round(tally.of) - round(tally.came)] for tally in (one, other)]
    return float(fisher_exact(rows).pvalue)


def _refuse(tally):
    if not 0 <= tally.came <= tally.of or tally.of <= 0:
        raise ValueError(f"{tally.came} of {tally.of} is no share: none or all of one or more.")
