"""Say from what sold in years gone by what may sell, and how much to have for it.

Demand is a distribution, not a number: what to have of a plant depends on what one too few
loses and one too many costs. With two or three years to learn from the range is wide, and that
is the truth of it.
"""

from collections.abc import Sequence
from math import sqrt
from statistics import mean, stdev

# Common practice for a series of few years: the last one weighs half.
WEIGHT_OF_LAST = 0.5
LEAST_YEARS = 2
# A ratio nearer to none or all would ask for more than few years can tell.
LEAST_RATIO, MOST_RATIO = 0.05, 0.95


def smoothed(values: Sequence[float], weight: float = WEIGHT_OF_LAST) -> list[float]:
    """Return the forecast for each period and the one after the last, the first as it was.

    Simple exponential smoothing: the next is `weight` × what came + the rest × its forecast.
    """
    forecasts = [values[0]]
    for value in values:
        forecasts.append(weight * value + (1 - weight) * forecasts[-1])
    return forecasts


def corrected(averages: Sequence[float]) -> list[float]:
    """Return seasonal indices whose mean is 100, in the proportions of `averages`."""
    total = sum(averages)
    return [average * 100 * len(averages) / total for average in averages]


def seasonal_indices(years: Sequence[Sequence[float]]) -> list[float]:
    """Return what each season brings in percent of the average one, over some years.

    The ratio of each season to its year's mean, averaged over the years and corrected so that
    their mean is 100. A year without sales says nothing.
    """
    ratios = [[100 * value / mean(year) for value in year] for year in years if sum(year) > 0]
    return corrected([mean(season) for season in zip(*ratios, strict=True)])


def over_lead_time(spread: float, periods: float) -> float:
    """Return the spread of demand over some periods, each with this spread and independent."""
    return spread * sqrt(periods)


def critical_ratio(price: float, cost: float, left_over: float = 0) -> float:
    """Return in how many cases of one there should be enough of a plant.

    What one too few loses (price − cost) over that and what one too many costs (cost − what
    it still brings): the newsvendor's ratio.
    """
    too_few, too_many = price - cost, cost - left_over
    if too_few <= 0:
        return LEAST_RATIO
    ratio = too_few / (too_few + max(too_many, 0))
    return min(max(ratio, LEAST_RATIO), MOST_RATIO)


def demand_ahead(years: Sequence[float], ahead: float = 1):
    """Return the distribution of a year's demand, `ahead` years on from the last one known.

    Its centre is smoothed, its spread that of the years (and no less than chance alone gives,
    the root of the centre). Few years are made up for by Student's t. Raises ValueError for
    fewer than two years.
    """
    from scipy.stats import t

    if len(years) < LEAST_YEARS:
        raise ValueError("One year tells nothing of the next.")
    centre = smoothed(years)[-1]
    spread = max(stdev(years), sqrt(max(centre, 1)))
    scale = over_lead_time(spread, ahead) * sqrt(1 + 1 / len(years))
    return t(len(years) - 1, loc=centre, scale=scale)


def enough(demand, ratio: float) -> int:
    """Return the number that meets `demand` (a scipy distribution) in `ratio` of all cases."""
    return max(round(float(demand.ppf(ratio))), 0)
