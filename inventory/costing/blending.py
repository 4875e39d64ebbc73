"""Which batches the plants of a lot come from, when lots have been blended.

Plants of one lot are alike, so whatever leaves takes the batches in the shares
they have at that moment. Only plants coming in change the shares.
"""

from collections.abc import Collection, Iterable
from fractions import Fraction

Shares = dict[int, Fraction]
"""Batch to its share of the plants; the shares add up to one."""


def follow_shares(
    rows: Iterable[tuple], remembered: Collection[int] = frozenset()
) -> tuple[dict[int, Shares], dict[int, Shares]]:
    """Follow the batches' shares through movements in ledger order.

    A row is (movement, from lot, to lot, batch begun, quantity, on hand of the
    receiving lot just after, movement given back). Returns the shares of each
    lot at the end, and of each of the `remembered` movements.
    """
    lots: dict[int, Shares] = {}
    moved: dict[int, Shares] = {}
    for key, source, target, batch, quantity, after, given_back in rows:
        if batch is not None:
            coming = {batch: Fraction(1)}
        elif given_back is not None:
            coming = moved.get(given_back, {})
        else:
            coming = lots.get(source, {})
        if key in remembered:
            moved[key] = coming
        if target is not None and coming:
            lots[target] = mix(lots.get(target, {}), coming, Fraction(quantity, after))
    return lots, moved


def mix(standing: Shares, coming: Shares, part: Fraction) -> Shares:
    """Return the shares after plants came that now make up `part` of the lot."""
    if part == 1 or standing == coming or not standing:
        return coming
    return {
        batch: standing.get(batch, 0) * (1 - part) + coming.get(batch, 0) * part
        for batch in standing | coming
    }
