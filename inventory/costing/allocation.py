"""Share an amount so that the parts add up to it."""

from collections.abc import Sequence
from fractions import Fraction
from math import lcm


def largest_remainder(total: int, weights: Sequence[int | Fraction]) -> list[int]:
    """Share a whole amount by weight: each share rounded down, what is left by largest remainder.

    Equal remainders go to the first in order.  A weight of zero gets nothing.  A negative
    total gives the mirror image of the positive one.  Raises ValueError where no weight is
    above zero, because then there is nobody to carry the amount.
    """
    whole = _whole_weights(weights)
    divisor = sum(whole)
    if divisor == 0:
        raise ValueError("Nothing to share by: every weight is zero.")
    sign = -1 if total < 0 else 1
    shares, remainders = _divide(abs(total), whole, divisor)
    left = abs(total) - sum(shares)
    # sorted() keeps the order of equals, reversed too, which is what gives ties to the first.
    by_remainder = sorted(range(len(whole)), key=remainders.__getitem__, reverse=True)
    for index in by_remainder[:left]:
        shares[index] += 1
    return [sign * share for share in shares]


def _divide(total: int, whole: list[int], divisor: int) -> tuple[list[int], list[int]]:
    pairs = [divmod(total * weight, divisor) for weight in whole]
    return [share for share, _ in pairs], [remainder for _, remainder in pairs]


def _whole_weights(weights: Sequence[int | Fraction]) -> list[int]:
    """Scale the weights to whole numbers, so that no comparison is ever rounded."""
    for weight in weights:
        if not isinstance(weight, int | Fraction):
            raise ValueError(f"A weight must be a whole number or a fraction, not {weight!r}.")
        if weight < 0:
            raise ValueError(f"A weight cannot be less than zero: {weight}.")
    if all(isinstance(weight, int) for weight in weights):
        return list(weights)
    scale = lcm(*(weight.denominator for weight in weights))
    return [weight.numerator * (scale // weight.denominator) for weight in weights]
