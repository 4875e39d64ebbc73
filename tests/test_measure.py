"""Measuring parts a lot by height or spread: plants, costs, batches, undo, refusals."""

from datetime import timedelta
from decimal import Decimal
from html import unescape
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory import operations as growing
from inventory.errors import LedgerError, LotMismatch, NotEnoughPlants
from inventory.models import Lot, LotBalance, Measurement, Nursery, Operation, Plant
from inventory.queries.lineage import shares_of_lots
from inventory.queries.proof import differences
from inventory.sizes import Size, from_mm, size_in_words, to_mm
from sales.documents.offers import offer_text
from sales.ledger_file.rows import RowError
from sales.offering import Choice
from sales.public import PublicLine
from sales.public_news import named
from sales.queries.availability import availability
from sales.queries.free_lots import with_lots
from sales.queries.offer import offer
from tests.factories import (
    DAY,
    BuyerFactory,
    NurseryFactory,
    PlaceFactory,
    PlantFactory,
    UserFactory,
    container,
    give_price,
    lot_holding,
)
from tests.ledger_figures import undo
from tests.size_rules import measured
from tests.test_hold import held
from tests.test_hold_pages import page
from tests.test_ledger_file import exported, left_behind, read

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


@pytest.fixture
def grower(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


def typed(*rows, **more) -> dict:
    """Return what is typed: (from, under, plants) a row."""
    names = ("from", "under", "plants")
    cells = {
        f"{name}_{number}": cell
        for number, row in enumerate(rows)
        for name, cell in zip(names, row, strict=True)
    }
    return {"request_id": uuid4(), "on": DAY.isoformat(), **cells, **more}


def shown(answer) -> str:
    return unescape(answer.content.decode())


@pytest.mark.django_db
class TestThePage:
    def test_asks_parts_the_lot_says_so_and_is_undone(self, grower):
        lot = lot_holding(50)
        address = reverse("inventory:measure", args=[lot.pk])
        assert f'href="{address}"' in shown(grower.get(reverse("inventory:lot", args=[lot.pk])))
        assert "How tall are the plants of lot L1?" in shown(grower.get(address, follow=True))

        form = typed((18, 24, 20), (24, "30.5", 30), ("", "", ""))
        looked = shown(grower.post(address, form | {"preview": "1"}))
        assert "20 of 18–24 in tall become lot L1-1; 30 of 24–30.5 in tall stay" in looked
        done = shown(grower.post(address, form, follow=True))

        assert "Measured lot L1: 20 are 18–24 in tall, now lot L1-1; those that stay" in done
        assert "24–30.5 in tall</b>, measured 10 April 2025" in done
        assert "18–24 in tall" in shown(grower.get(reverse("inventory:lot-list")))
        again = shown(grower.get(address, follow=True))
        assert 'value="30.5"' in again, "the nursery's own sizes are offered again"
        grower.post(reverse("inventory:undo", args=[Operation.objects.latest("pk").pk]))
        assert standing() == {"L1": (50, None)}

    @pytest.mark.parametrize(
        ("rows", "words"),
        [
            ([(18, 24, 20), (20, 30, 5)], "Two of the sizes overlap"),
            ([(18, 24, 51)], "51 are measured and lot L1 held 50"),
            ([(18, "", 5)], "Write the size of these plants, in inches"),
            ([(24, 18, 5)], "from a smaller figure to a larger"),
            ([(18, 24, "")], "Enter how many plants are of which size"),
        ],
    )
    def test_refuses_and_keeps_what_was_typed(self, grower, rows, words):
        lot = lot_holding(50)

        text = shown(grower.post(reverse("inventory:measure", args=[lot.pk]), typed(*rows)))

        assert words in text and 'value="18"' in text
        assert standing() == {"L1": (50, None)}

    def test_is_for_who_may_enter(self, client):
        lot = lot_holding(50)
        client.force_login(UserFactory())

        address = reverse("inventory:measure", args=[lot.pk])
        assert client.post(address, typed((18, 24, 20))).status_code == 403

    def test_speaks_of_spread_and_centimetres(self, grower):
        Nursery.objects.update(units="metric")
        lot = lot_holding(50, plant=PlantFactory(sized_by="spread"))

        address = reverse("inventory:measure", args=[lot.pk])
        assert "How wide are the plants" in shown(grower.get(address, follow=True))
        text = shown(grower.post(address, typed((40, 60, 50)), follow=True))

        assert "all of them are 40–60 cm wide" in text
        assert standing() == {"L1": (50, Size(400, 600))}


@pytest.mark.django_db
class TestTheLedgerFile:
    def test_sizes_survive_the_way_out_and_in(self):
        with left_behind():
            lot = lot_holding(50, plant=PlantFactory(sized_by="spread"))
            other = lot_holding(5, "L2", plant=lot.plant)
            measured(lot, (*SMALL, 20, "L1-B"), (*LARGE, 30))
            measured(other, (300, 457, 5))
            later = {"on": DAY + timedelta(3)}
            part = Lot.objects.get(code="L1-B")
            for to_lot, lot in (("L3", part), ("L4", other)):
                growing.move(lot=lot, quantity=4, to_lot=to_lot, request_id=uuid4(), **later)
            growing.blend(lot=other, to_lot=part, request_id=uuid4(), **later)
            undo(measured(Lot.objects.get(code="L3"), (*LARGE, 4), **later))
            text, before = exported(), standing()

        read(text)

        assert standing() == before and before["L1-B"] == (17, Size(300, 610))
        assert exported() == text
        assert ",457/610/2025-04-10" in text, "the plants moved were measured on an earlier day"
        assert set(Plant.objects.values_list("sized_by", flat=True)) == {"spread"}
        made = Measurement.objects.get(lot__code="L3")
        assert (made.date, made.measured_on) == (DAY + timedelta(3), DAY)

    def test_a_ledger_without_sizes_has_no_column_for_them(self):
        lot_holding(50)

        assert "size" not in exported().splitlines()[0]

    @pytest.mark.parametrize("size", ["610/457", "457", "18-24", "457/610/2027-01-01", "", "0/9"])
    def test_a_size_that_is_none_is_refused(self, size):
        row = f"2025-04-11,measure,L1,,,,{size}\n"
        head = "date,event,lot,batch,plant,container,size,quantity\n"
        begun = "2025-04-10,opening,L1,B1,Buxus,#1,,50\n"

        with pytest.raises(RowError, match="line 3, column size"):
            read(f"{head}{begun}{row}")


@pytest.mark.django_db
class TestTheLists:
    @pytest.fixture(autouse=True)
    def lots(self, grower):
        """Thirty plants of one size, twelve of a larger one that is held in part, eight of none."""
        lot = lot_holding(50)
        give_price(lot, "9.00")
        measured(lot, (*SMALL, 30, "L1-B"), (*LARGE, 12, "L1-C"))
        held(Lot.objects.get(code="L1-C"), 5, lot=Lot.objects.get(code="L1-C"))
        return lot

    def test_availability_is_parted_by_size_at_the_price_of_the_grade(self):
        rows = {(row.size, row.available, row.price) for row in availability(by_size=True)}

        nine = Decimal(9)
        assert rows == {(None, 8, nine), (Size(*SMALL), 30, nine), (Size(*LARGE), 7, nine)}
        on_a_day = availability(by_size=True, on=timezone.localdate())
        assert {(row.size, row.available, row.price) for row in on_a_day} == rows
        assert [row.available for row in availability()] == [45], "as the report has it"
        assert {line.size: sum(lot.free for lot in line.lots) for line in with_lots(
            availability(by_size=True)
        )} == {None: 8, Size(*SMALL): 30, Size(*LARGE): 7}  # fmt: skip

    def test_each_form_of_the_list_tells_the_size(self, grower):
        assert "18–24 in tall" in page(grower, "sales:availability")
        assert "18–24 in tall" in page(grower, "sales:offer")
        for kind in ("csv", "json", "txt"):
            answer = grower.get(reverse("sales:offer-file", args=[kind]))
            assert "18–24 in tall" in answer.content.decode(), kind
        without = offer(Choice(columns=("available",)))
        assert [line.number for line in without.lines] == [45]

    def test_a_german_buyer_reads_it_in_german(self):
        buyer = BuyerFactory(language="de", country="DE")

        assert "18–24 in hoch" in offer_text(offer(Choice()), buyer)

    def test_the_list_on_the_web_names_each_size_and_so_does_a_request(self, lots):
        lines = [PublicLine.of(line, None) for line in offer(Choice()).lines]

        assert len({line.anchor for line in lines}) == 3
        assert [PublicLine.from_kept(line.kept()) for line in lines] == lines
        assert named(lines[1]) == f"{lots.plant}, #1, 18–24 in tall"

    def test_the_stand_tells_the_lots_apart(self, grower, lots):
        key = f"{lots.plant_id}-{lots.container_id}"

        assert "L1-B, 18–24 in tall, 30 free" in page(grower, "sales:sell", **{f"n-{key}": 3})
