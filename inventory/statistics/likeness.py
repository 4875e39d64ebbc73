"""How alike plants of one lot fare: lots differ more than chance alone would make them."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from inventory.statistics.learning import Beta
from inventory.statistics.proportions import Tally


class Likeness(NamedTuple):
    """How alike plants of one lot fare, from 0 to 1, and how many comparisons tell it."""

    alike: float
    compared: int

    def from_before(self, alike: float, compared: int) -> float:
        """Return it mixed with what was thought before, which counts as so many comparisons."""
        weight = self.compared + compared
        return (self.alike * self.compared + alike * compared) / weight


def likeness(groups: Iterable[Sequence[Tally]]) -> Likeness:
    """Return the correlation of two plants of one lot, of lots in groups that share a mean.

    0 is chance alone, 1 is all or nothing. The analysis-of-variance estimator for counts
    (Ridout, Demétrio and Firth, Biometrics 55:137, 1999, from memory), with the sums of squares
    of all groups added up. A lot beyond the first of a group is one comparison.
    """
    between = within = plants = lots = size = 0.0
    compared = 0
    for group in groups:
        rows = [row for row in group if row.of > 0]
        of = sum(row.of for row in rows)
        if len(rows) < 2 or of <= len(rows):
            continue
        share = sum(row.came for row in rows) / of
        between += sum(row.of * (row.share - share) ** 2 for row in rows)
        within += sum(row.of * row.share * (1 - row.share) for row in rows)
        plants += of
        lots += len(rows)
        compared += len(rows) - 1
        size += of - sum(row.of**2 for row in rows) / of
    if not compared:
        return Likeness(0.0, 0)
    between, within, size = between / compared, within / (plants - lots), size / compared
    spread = between + (size - 1) * within
    alike = (between - within) / spread if spread > 0 else 0.0
    return Likeness(min(1.0, max(0.0, alike)), compared)


def of_a_new_lot(share: Beta, alike: float) -> Beta:
    """Return what is thought of the share of a lot to come, whose plants fare alike.

    The mean is that of all lots; the spread is that of not knowing it and that from lot to
    lot, added up.
    """
    return Beta.thought(share.mean, 1 / (alike + 1 / (share.weight + 1)) - 1)
