"""How many to start so that enough come through.

    number_to_start(100, [0.8], 0.95)                      135: 80 % come through, that is sure
    number_to_start(100, [Beta(80, 20)], 0.95)             more, for 80 of 100 is only a record
    number_to_start(100, [Beta(160, 40), 0.95], 0.9)       rooting by record, then potting up

A chain of stages needs no step of its own: whoever comes through all of them does so with
the product of the shares. A product of known shares is one share, and the number that
comes through is binomial. A product of beta shares is close to a beta share of the same
mean and variance (Fan, Communications in Statistics 20:4043, 1991), and the number is
beta-binomial: within 0.003 of the exact convolution, stage by stage (tests/checks), which
moves an answer by a plant at most and takes time with the square of it.
"""

from collections.abc import Sequence
from fractions import Fraction
from math import ceil, prod

from inventory.statistics.learning import Beta

MOST = 1_000_000
Stage = Beta | float


class OutOfReach(ValueError):
    """No number of plants gives the assurance that is asked for."""


def through_all(stages: Sequence[Stage]) -> Stage:
    """Return what is known of the share that comes through all stages, as one stage.

    A float where every share is known, else the beta with the mean and the variance of the
    product.
    """
    mean = prod(mean_of(stage) for stage in stages)
    square = prod(mean_of(stage) ** 2 + _variance(stage) for stage in stages)
    variance = square - mean * mean
    if variance <= 0 or not any(isinstance(stage, Beta) for stage in stages):
        return mean
    return Beta.thought(mean, mean * (1 - mean) / variance - 1)


def chance_of(wanted: int, started: int, stages: Sequence[Stage]) -> float:
    """Return the chance that `wanted` or more of those started come through all stages."""
    return _chance(wanted, started, through_all(stages))


def number_to_start(wanted: int, stages: Sequence[Stage], assurance: float) -> int:
    """Return the fewest to start so that `wanted` come through with that assurance.

    A stage is the share that survives it: known, as a number of 0 to 1, or learnt, as a
    Beta. Raises OutOfReach where a million would not do.
    """
    if not 0 < assurance < 1:
        raise ValueError(f"An assurance lies between 0 and 1, not at {assurance}.")
    if wanted <= 0:
        return 0
    stage = through_all(stages)
    few, many = wanted - 1, wanted
    while _chance(wanted, many, stage) < assurance:
        few, many = many, many * 2
        if many > MOST:
            raise OutOfReach(f"More than {MOST:,} would have to be started.")
    while many - few > 1:
        middle = (few + many) // 2
        if _chance(wanted, middle, stage) < assurance:
            few = middle
        else:
            many = middle
    return many


def number_on_average(wanted: int, share: Fraction | float) -> int:
    """Return how many to start where on average that share comes through, rounded up.

    Only half of all times are that many enough.
    """
    return ceil(wanted / Fraction(str(share)))


def mean_of(stage: Stage) -> float:
    """Return the share that comes through a stage on average."""
    return stage.mean if isinstance(stage, Beta) else float(stage)


def _variance(stage):
    return stage.variance if isinstance(stage, Beta) else 0.0


def _chance(wanted, started, stage):
    """Return the chance of so many or more: a binomial's, or a beta-binomial's added up."""
    import numpy as np
    from scipy.special import bdtrc, betaln

    if wanted <= 0 or wanted > started:
        return float(wanted <= 0)
    if not isinstance(stage, Beta):
        return float(bdtrc(wanted - 1, started, stage))
    few = wanted > started / 2  # the shorter end is added up
    came = np.arange(wanted, started + 1) if few else np.arange(wanted)
    ways = -np.log1p(started) - betaln(started - came + 1, came + 1)
    odds = betaln(came + stage.came, started - came + stage.lost) - betaln(stage.came, stage.lost)
    end = float(np.exp(ways + odds).sum())
    return min(1.0, end if few else 1 - end)
