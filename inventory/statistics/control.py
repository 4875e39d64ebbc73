"""Whether a batch struck as batches here do, or so unlike them that it had a cause."""

from collections.abc import Iterable, Sequence
from math import sqrt

from inventory.statistics.proportions import Interval, Tally

ERRORS = 3


def average(batches: Iterable[Tally]) -> float:
    """Return the share that came through of all batches together."""
    return sum(batches, Tally(0, 0)).share


def usual(batches: Sequence[Tally]) -> float:
    """Return the share that is usual: of those within the limits about the share of all.

    A batch that had a cause would draw the limits towards itself, so trial limits are set and
    what is beyond them is left out once (Montgomery, Introduction to Statistical Quality
    Control, from memory). Where that would leave out half of them or more, all count.
    """
    share = average(batches)
    within = [batch for batch in batches if limits(share, batch.of).has(batch.share)]
    return average(within) if 2 * len(within) > len(batches) else share


def errors_from(tally: Tally, share: float) -> float:
    """Return how many standard errors a share lies from an expected one (NIST 7.2.4)."""
    return (tally.share - share) / _error(share, tally.of)


def limits(share: float, of: float, errors: float = ERRORS) -> Interval:
    """Return the limits within which a batch of so many stays by chance.

    The control chart for proportions, with limits of three standard errors about the
    average: NIST/SEMATECH e-Handbook 6.3.3.2. They lie between 0 and 1.
    """
    half = errors * _error(share, of)
    return Interval(max(0.0, share - half), min(1.0, share + half))


def _error(share, of):
    return sqrt(share * (1 - share) / of)
