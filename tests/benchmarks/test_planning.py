"""What planning costs, and how often the ranges of a forecast held.

The baseline is one call of scipy's beta-binomial for each question that differs: the ledger
asks each of them once, however many targets and lots there are.
"""

from datetime import date, timedelta
from pathlib import Path
from random import Random

import pytest
from django.db.models import F, Sum
from scipy.stats import betabinom

from inventory.models import Lot, Movement
from inventory.planning.answer import Standing, Stock, Wanted, answer
from inventory.planning.forecast import HIGH, LOW, by_month
from inventory.planning.ways import GROWING, LINER, ROOTING, Pot, Way
from inventory.queries.chances import Chances
from inventory.queries.expected import stages_so_far
from inventory.queries.wording import LOST
from inventory.statistics import spread
from inventory.statistics.learning import Beta
from sales.ledger_file.importing import import_ledger
from tests.benchmarks.measuring import least, note, timed

TODAY = date(2026, 11, 25)
DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo.csv"
LAST_KNOWN = date(2025, 11, 24)
WAY = Way(1, 70, 300, (Pot(2, (5, 1), 240),))


def test_two_hundred_targets_and_ten_thousand_lots():
    luck = Random(7)
    plants = [
        {stage: Beta(9 * luck.uniform(1, 9), 9) for stage in (ROOTING, LINER, GROWING)}
        for _ in range(50)
    ]
    lots = [
        (luck.randrange(50), Standing(GROWING, 2, TODAY, luck.randrange(5, 90), Beta(12, 2)))
        for _ in range(10_000)
    ]
    targets = [
        (of % 50, Wanted(luck.randrange(20, 400), date(2029, 4, 1), 0.9)) for of in range(200)
    ]

    def plan():
        forget()
        for of, wanted in targets:
            answer(wanted, WAY, plants[of], Stock(()), TODAY)

    def forecast():
        forget()
        by_month(((of, row.ahead(WAY, plants[of], TODAY)) for of, row in lots), 24, TODAY)

    ends = {(row.plants, row.share) for _, row in lots}
    questions = {(wanted.plants, of, of_liners) for of, wanted in targets for of_liners in (0, 1)}
    compared("200 targets planned", plan, [(w, plants[of][GROWING]) for w, of, _ in questions])
    compared("10,000 lots forecast by month", forecast, [end for end in ends for _ in range(2)])


def forget():
    for kept in (spread.numbers_through, spread.to_start, spread.all_through):
        kept.cache_clear()


def compared(what, act, questions):
    """Note how much longer an act takes than scipy for its distinct questions."""

    def ask():
        for plants, share in questions:
            betabinom.ppf(0.1, plants, share.came, share.lost)

    act(), ask()
    ours, theirs = (least(timed(each) for _ in range(3)) for each in (act, ask))
    note(what, ours)
    note(f"  against {len(questions):,} calls of scipy, one for each question", ours / theirs, "3")


@pytest.mark.django_db
def test_how_often_the_ranges_held(tmp_path):
    """Fit on the demo's first two years, forecast what lives through the third, and count."""
    head, *rows = DEMO.read_text(encoding="utf-8").splitlines(keepends=True)
    known = tmp_path / "known.csv"
    known.write_text(head + "".join(r for r in rows if r[:10] <= LAST_KNOWN.isoformat()))
    import_ledger(known, say=lambda _: None)
    chances = Chances(LAST_KNOWN)
    lots = Lot.objects.filter(balance__on_hand__gt=0).annotate(on_hand=F("balance__on_hand"))
    lots = list(lots.select_related("container"))
    stages = stages_so_far(lots)
    told = {lot.code: (lot.on_hand, range_of(chances, lot, *stages[lot.pk])) for lot in lots}
    import_rest(tmp_path / "rest.csv", head, rows)

    held = [low <= on_hand - lost_of(code) <= high for code, (on_hand, (low, high)) in told.items()]
    note("ranges of eight in ten that held in the demo's third year", f"{sum(held)} of {len(held)}")


def range_of(chances, lot, stage, started, lost):
    share = chances.rest_of(lot.plant_id, stage, lot.on_hand, started, lost)
    return spread.numbers_through(lot.on_hand, share, (LOW, HIGH))


def import_rest(path, head, rows):
    path.write_text(head + "".join(r for r in rows if r[:10] > LAST_KNOWN.isoformat()))
    import_ledger(path, say=lambda _: None)


def lost_of(code):
    """Return the plants that a lot lost in the year after."""
    after = LAST_KNOWN + timedelta(days=1)
    rows = Movement.objects.filter(date__gte=after, carried__isnull=False)
    lost = rows.filter(from_lot__code=code, kind__in=LOST).aggregate(n=Sum("quantity"))["n"] or 0
    found = rows.filter(to_lot__code=code, kind="found").aggregate(n=Sum("quantity"))["n"] or 0
    return lost - found
