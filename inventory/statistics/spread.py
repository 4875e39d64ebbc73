"""How many of those started come through: the numbers that are reached with given chances."""

from functools import lru_cache

from inventory.statistics.starting import (
    MOST,
    OutOfReach,
    Stage,
    number_to_start,
    through_all,
)

KEPT = 20_000


@lru_cache(maxsize=KEPT)
def numbers_through(started: int, stage: Stage, chances: tuple[float, ...]) -> tuple[int, ...]:
    """Return for each chance the most plants that come through at least that often.

    Of 0.9 that is the number reached nine times in ten; of 0.9 and 0.1 together the two ends
    between which the number lies eight times in ten. Binomial for a known share, else
    beta-binomial. The same question is answered once.
    """
    import numpy as np

    if started <= 0:
        return (0,) * len(chances)
    reached = np.append(_chances_of_more(started, stage), 0.0)  # of 1 or more, 2 or more, …
    return tuple(int(np.argmax(reached < chance)) for chance in chances)


@lru_cache(maxsize=KEPT)
def to_start(wanted: int, stages: tuple[Stage, ...], assurance: float) -> int:
    """Return `number_to_start` of a chain, worked out once for the same question.

    Where no number in reach will do it is `MOST`.
    """
    try:
        return number_to_start(wanted, stages, assurance)
    except OutOfReach:
        return MOST


@lru_cache(maxsize=KEPT)
def all_through(stages: tuple[Stage, ...]) -> Stage:
    """Return `through_all` of a chain, worked out once for the same question."""
    return through_all(stages)


def _chances_of_more(started, stage):
    import numpy as np
    from scipy.special import betaln, gammaln

    came = np.arange(started + 1)
    if isinstance(stage, float):
        if stage in (0.0, 1.0):
            return np.full(started, stage)
        ways = gammaln(started + 1) - gammaln(came + 1) - gammaln(started - came + 1)
        odds = came * np.log(stage) + (started - came) * np.log1p(-stage)
    else:
        ways = -np.log1p(started) - betaln(started - came + 1, came + 1)
        odds = betaln(came + stage.came, started - came + stage.lost)
        odds -= betaln(stage.came, stage.lost)
    just = np.exp(ways + odds)
    return np.cumsum(just[::-1])[::-1][1:]
