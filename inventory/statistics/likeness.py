"""How alike plants of one lot fare: lots differ more than chance alone would make them."""

from collections.abc import Iterable, Sequence

from inventory.statistics.learning import Beta
from inventory.statistics.proportions import Tally

FEWEST_TO_TELL = 8


def likeness(groups: Iterable[Sequence[Tally]]) -> float | None:
    """Return the correlation of two plants of one lot, of lots in groups that share a mean.

    0 is chance alone, 1 is all or nothing. The analysis-of-variance estimator for counts
    (Ridout, Demétrio and Firth, Biometrics 55:137, 1999, from memory), with the sums of squares
    of all groups added up. None where too few lots can be compared.
    """
    between = within = plants = lots = size = compared = 0.0
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
    if compared < FEWEST_TO_TELL or plants <= lots:
        return None
    between, within, size = between / compared, within / (plants - lots), size / compared
    spread = between + (size - 1) * within
    return min(1.0, max(0.0, (between - within) / spread)) if spread > 0 else 0.0


def of_a_new_lot(share: Beta, alike: float) -> Beta:
    """Return what is thought of the share of a lot to come, whose plants fare alike.

    The mean is that of all lots; the spread is that of not knowing it and that from lot to
    lot, added up.
    """
    return Beta.thought(share.mean, 1 / (alike + 1 / (share.weight + 1)) - 1)
