"""Measuring parts a lot by height or spread: plants, costs, batches, undo, refusals."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory import operations as growing
from inventory.errors import LedgerError, LotMismatch, NotEnoughPlants
from inventory.models import Lot, LotBalance, Operation
from inventory.queries.lineage import shares_of_lots
from inventory.queries.proof import differences
from inventory.sizes import Size, from_mm, size_in_words, to_mm
from tests.factories import DAY, PlaceFactory, container, lot_holding
from tests.ledger_figures import undo
from tests.size_rules import measured
from tests.test_hold import held

SMALL, LARGE = (457, 610), (610, 914)


def inches(number) -> int:
    return to_mm(Decimal(number), in_inches=True)


def standing() -> dict:
    """Return {lot: (plants, size)} of all lots that hold plants."""
    rows = LotBalance.objects.filter(on_hand__gt=0).select_related("lot", "measurement")
    return {row.lot.code: (row.on_hand, row.size) for row in rows}


def test_a_range_holds_its_lower_figure_and_not_its_upper():
    # "18–24 in" is 18 or more and less than 24: from memory, after ANSI Z60.1.
    size, next_one = Size(inches(18), inches(24)), Size(inches(24), inches(30))

    found = [size.holds(inches(number)) for number in ("17.9", "18", "23.9", "24")]

    assert found == [False, True, True, False]
    assert next_one.holds(inches(24)) and not size.overlaps(next_one)
    assert size.overlaps(Size(inches(23), inches(30)))


def test_tenths_of_an_inch_and_of_a_centimetre_come_back_as_they_were_entered():
    for in_inches in (True, False):
        tenths = [Decimal(n) / 10 for n in range(1, 1500)]
        again = [from_mm(to_mm(n, in_inches=in_inches), in_inches=in_inches) for n in tenths]
        assert again == tenths


def test_ranges_are_spoken_in_inches_feet_and_centimetres():
    # Feet from 3 ft on, as hedging conifers are sold ("3–4 ft"): from memory.
    assert size_in_words(Size(457, 610), in_inches=True) == "18–24 in"
    assert size_in_words(Size(914, 1219), in_inches=True) == "3–4 ft"
    assert size_in_words(Size(762, 914), in_inches=True) == "30–36 in"
    assert size_in_words(Size(400, 600), in_inches=False) == "40–60 cm"


@pytest.mark.django_db
class TestMeasuring:
    def test_parts_a_lot_and_keeps_plants_cost_grade_place_days_and_batches(self):
        lot = lot_holding(100, medium="0.333334", containers="7.00")
        growing.move(lot=lot, place=PlaceFactory(), on=DAY, request_id=uuid4())
        Lot.objects.update(grade="A", ready_on=DAY + timedelta(9))
        lot.refresh_from_db()

        measured(lot, (*SMALL, 33, "L1-B"), (*LARGE, 60, "L1-C"))

        assert standing() == {
            "L1": (7, None),
            "L1-B": (33, Size(*SMALL)),
            "L1-C": (60, Size(*LARGE)),
        }
        rows = LotBalance.objects.all()
        assert sum(row.cost for row in rows) == Decimal("7.333334"), "to the millionth"
        lots = Lot.objects.values_list("grade", "ready_on", "began_on", "balance__place")
        assert lots.distinct().count() == 1
        assert len({tuple(shares) for shares in shares_of_lots({r.pk for r in rows}).values()}) == 1
        assert list(differences()) == []

    def test_plants_of_one_size_stay_in_their_lot(self):
        lot = lot_holding(50)

        measured(lot, (*SMALL, 20, "L1-B"), (*LARGE, 30))
        assert standing() == {"L1": (30, Size(*LARGE)), "L1-B": (20, Size(*SMALL))}

        measured(lot, (*SMALL, 30), on=DAY + timedelta(1))
        assert standing()["L1"] == (30, Size(*SMALL))

    def test_undone_everything_is_as_before(self):
        lot = lot_holding(50, medium="1.00")
        measured(lot, (*LARGE, 50))
        before = standing()
        after = measured(lot, (*SMALL, 20, "L1-B"), (300, 457, 30), on=DAY + timedelta(1))

        undo(after)

        assert standing() == before == {"L1": (50, Size(*LARGE))}
        assert list(differences()) == []

    def test_twice_is_harmless(self):
        lot, key = lot_holding(50), uuid4()

        first = measured(lot, (*SMALL, 20, "L1-B"), request_id=key)
        assert measured(lot, (*SMALL, 20, "L1-B"), request_id=key) == first
        assert Operation.objects.filter(kind="measure").count() == 1

    @pytest.mark.parametrize(
        ("sizes", "error", "words"),
        [
            ([], LedgerError, "Enter how many"),
            ([(*SMALL, 51)], NotEnoughPlants, "held 50 on .*; 51 cannot"),
            ([(*SMALL, 20, "X"), (609, 700, 5, "Y")], LedgerError, "overlap"),
            ([(610, 457, 20, "X")], LedgerError, "smaller figure to a larger"),
            ([(*SMALL, 0, "X")], LedgerError, "at least one plant"),
            ([(*SMALL, 20)], LedgerError, "only by themselves"),
            ([(*SMALL, 20), (*LARGE, 30)], LedgerError, "only by themselves"),
            ([(*SMALL, 20, "X"), (*LARGE, 30, "X")], LotMismatch, "into one lot"),
            ([(*SMALL, 20, "L1")], LotMismatch, "in use"),
        ],
    )
    def test_refuses(self, sizes, error, words):
        lot = lot_holding(50)

        with pytest.raises(error, match=words):
            measured(lot, *sizes)

        assert standing() == {"L1": (50, None)}

    def test_leaves_what_is_promised_out_of_this_lot(self):
        lot = lot_holding(50)
        held(lot, 20, lot=lot)
        held(lot, 10)

        with pytest.raises(LedgerError, match=r"5 too few for .* leave so many in it"):
            measured(lot, (*SMALL, 35, "L1-B"))
        measured(lot, (*SMALL, 30, "L1-B"))

        assert standing()["L1-B"][0] == 30, "plants promised of any lot may part"

    def test_sizes_go_along_with_plants_and_say_what_holds_for_all(self):
        one, other = lot_holding(50), None
        other = lot_holding(10, "L2", plant=one.plant)
        measured(one, (*SMALL, 50))
        day = {"on": DAY + timedelta(1)}

        growing.move(lot=one, quantity=5, to_lot="L3", request_id=uuid4(), **day)
        measured(other, (*LARGE, 10))
        growing.blend(lot=other, to_lot=one, request_id=uuid4(), **day)
        assert standing() == {"L1": (55, Size(457, 914)), "L3": (5, Size(*SMALL))}

        growing.pot_up(
            lot=one, quantity=5, to_lot="P", container=container("#3"), request_id=uuid4(), **day
        )
        assert standing()["P"] == (5, None), "potted up, plants are measured anew"
        growing.blend(
            lot=lot_holding(1, "L4", plant=one.plant), to_lot=one, request_id=uuid4(), **day
        )
        assert standing()["L1"] == (51, None), "one of them was never measured"
        assert list(differences()) == []
