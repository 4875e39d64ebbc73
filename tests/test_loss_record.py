"""What the nursery's own record says of its losses, and taking it over.

The ledger of `two_seasons` is worked by hand; the sums stand beside each check.
"""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory import operations
from inventory.models import ExpectedLoss, Lot, Operation
from inventory.operations.catalogue import expect_loss
from inventory.queries.loss_record import Record, RecordRow, loss_record, record_rows
from sales.operations import take_back
from tests.entering import as_grower, page
from tests.factories import PlantFactory, UserFactory, cause, container, lot_holding, sell_from

pytestmark = pytest.mark.django_db

ROOTED, POTTED, WINTER, NOW = (
    date(2025, 6, 10),
    date(2025, 7, 1),
    date(2026, 2, 1),
    date(2026, 7, 1),
)


def write_off(lot, quantity, on=WINTER, code="winter"):
    loss = operations.Loss(lot, quantity, cause(code))
    return operations.write_off(losses=[loss], on=on, request_id=uuid4())


def root(lot, alive, on=ROOTED):
    return operations.root_count(lot=lot, alive=alive, on=on, request_id=uuid4())


def counted(lot, found, on):
    return operations.count(lot=lot, found=found, on=on, request_id=uuid4())


def pot(lot, quantity, to_lot, on=POTTED, **more):
    operations.pot_up(
        lot=lot,
        quantity=quantity,
        to_lot=to_lot,
        container=container("#1"),
        on=on,
        request_id=uuid4(),
        **more,
    )
    return Lot.objects.get(code=to_lot)


def two_seasons(plant):
    """Stick 100 and 60; 80 and 45 root; 76 of the first tray live to be potted, 10 die."""
    tray = lot_holding(100, "T1", size="tray", plant=plant)
    root(tray, 80)
    potted = pot(tray, 76, "P1", lost=4)
    write_off(potted, 10)
    second = lot_holding(60, "T2", size="tray", plant=plant, on=date(2026, 4, 1))
    root(second, 45, on=date(2026, 6, 1))
    return potted


def of(plant, on=NOW):
    found = loss_record(on)
    return {
        stage: found[plant.pk, stage] for stage in ExpectedLoss.Stage if (plant.pk, stage) in found
    }


def test_each_stage_counts_the_lots_that_have_left_it():
    plant = PlantFactory()
    two_seasons(plant)

    assert of(plant) == {
        "rooting": Record(160, 35, 2),  # 20 of 100 and 15 of 60 never rooted
        "liner": Record(80, 4, 1),  # the 45 still stand in their tray
        "growing": Record(76, 10, 1),  # potted a year ago to the day
    }
    assert "growing" not in of(plant, date(2026, 6, 30)), "a day short of a year, and not empty"


def test_all_plants_are_the_plants_added_up():
    first, second = PlantFactory(), PlantFactory()
    two_seasons(first)
    other = lot_holding(40, "T3", size="tray", plant=second)
    root(other, 30)

    assert loss_record(NOW)[None, "rooting"] == Record(200, 45, 3)


def test_an_empty_lot_counts_before_its_year_is_over():
    lot = lot_holding(30, "P1", on=date(2026, 5, 1))
    write_off(lot, 6, on=date(2026, 5, 9))
    sell_from(lot, 24, on=date(2026, 5, 10))

    assert of(lot.plant) == {"growing": Record(30, 6, 1)}


def test_what_is_undone_is_left_out():
    lot = two_seasons(PlantFactory())
    wrong = write_off(lot, 30)
    miscounted = root(Lot.objects.get(code="T2"), 20, on=date(2026, 6, 5))
    before = of(lot.plant)
    assert (before["growing"].lost, before["rooting"].lost) == (40, 60)

    for operation in (wrong, miscounted):
        operations.reverse(operation=operation, request_id=uuid4())

    assert (of(lot.plant)["growing"].lost, of(lot.plant)["rooting"].lost) == (10, 35)


def test_a_tray_whose_rooted_count_is_undone_is_rooting_again():
    tray = lot_holding(50, "T1", size="tray")
    done = root(tray, 40)

    operations.reverse(operation=done, request_id=uuid4())

    assert of(tray.plant) == {}


def test_a_tray_potted_without_a_rooted_count_has_left_rooting():
    tray = lot_holding(50, "T1", size="tray")

    pot(tray, 42, "P1", lost=8)

    assert of(tray.plant, POTTED) == {"rooting": Record(50, 8, 1)}


def test_plants_potted_between_two_rooted_counts_had_rooted():
    tray = lot_holding(100, "T1", size="tray")
    root(tray, 90)
    pot(tray, 50, "P1", on=ROOTED)
    root(tray, 35, on=POTTED)
    pot(tray, 35, "P1")

    # 10 and 5 never rooted; the 85 that did all went into pots.
    assert of(tray.plant, POTTED) == {"rooting": Record(100, 15, 1), "liner": Record(85, 0, 1)}


def test_liners_bought_in_start_as_liners():
    liners = lot_holding(48, "C1", size="cell", kind="receive")
    write_off(liners, 3, on=ROOTED)
    pot(liners, 45, "P1")

    assert of(liners.plant, POTTED) == {"liner": Record(48, 3, 1)}


def test_a_count_takes_back_what_an_earlier_one_missed():
    lot = lot_holding(40, "P1")
    counted(lot, 34, ROOTED)
    counted(lot, 38, POTTED)

    assert of(lot.plant) == {"growing": Record(40, 2, 1)}


def test_plants_found_beyond_what_was_missed_started_there_unseen():
    lot = lot_holding(40, "P1")
    write_off(lot, 5, on=ROOTED)
    counted(lot, 38, POTTED)

    assert of(lot.plant) == {"growing": Record(43, 5, 1)}, "what died of winter stays dead"


@pytest.mark.parametrize("restock", [True, False])
def test_plants_taken_back_start_once_and_discarded_ones_are_no_loss_of_the_stage(restock):
    lot = lot_holding(40, "P1")
    sold = sell_from(lot, 10)

    take_back(
        document=sold,
        plants=[(lot, 4)],
        on=ROOTED,
        restock=restock,
        request_id=uuid4(),
    )

    assert of(lot.plant) == {"growing": Record(40, 0, 1)}


def test_a_part_moved_and_blended_again_starts_once_in_one_pot_size():
    lot = lot_holding(40, "P1")
    operations.move(lot=lot, quantity=15, to_lot="P2", on=ROOTED, request_id=uuid4())
    part = Lot.objects.get(code="P2")
    write_off(part, 5, on=ROOTED)
    operations.blend(lot=part, to_lot=lot, on=POTTED, request_id=uuid4())

    assert sum_of(lot.plant) == (40, 5)


def sum_of(plant):
    record = of(plant)["growing"]
    return record.started, record.lost


def test_a_larger_pot_is_a_new_start():
    lot = lot_holding(40, "P1")
    operations.pot_up(
        lot=lot, quantity=40, to_lot="P3", container=container("#3"), on=ROOTED, request_id=uuid4()
    )

    assert of(lot.plant) == {"growing": Record(80, 0, 2)}


@pytest.mark.parametrize(
    ("record", "percent"),
    [
        (Record(), "20"),  # common practice alone
        (Record(40, 0, 1), "10"),  # 8 of 40 thought of and 0 of 40 seen
        (Record(160, 35, 2), "21.5"),  # 8 of 40 and 35 of 160: 43 of 200
        (Record(4_000, 248, 9), "6.3"),  # 256 of 4,040: the record outweighs what was thought
        (Record(10, 12, 1), "38.5"),  # never more than all: 8 of 40 and 12 of 12
    ],
)
def test_what_was_thought_before_gives_way_to_the_record(record, percent):
    assert RecordRow("rooting", record, None).percent == Decimal(percent)


def test_a_plant_begins_from_the_number_for_all_plants():
    root(lot_holding(40, "T1", size="tray"), 40)
    expect_loss(stage="rooting", percent=Decimal(30))

    row = next(row for row in record_rows(NOW) if row.plant and row.stage == "rooting")

    assert (row.begins, row.default, row.percent) == ("As of all plants", 30, 15)  # 12 of 80


def test_the_record_takes_one_query_however_many_plants(django_assert_num_queries):
    for number in range(6):
        tray = lot_holding(30, f"T{number}", size="tray")
        root(tray, 20 + number)

    with django_assert_num_queries(1):
        assert len(loss_record(NOW)) == 7
    with django_assert_num_queries(3):
        assert len(record_rows(NOW)) == 3 + 6


def test_the_page_shows_the_record_beside_each_stage_and_plant(client):
    two_seasons(PlantFactory())
    lone = lot_holding(12, "T9", size="tray")
    root(lone, 11)

    text = as_grower(client).get(page("expected-losses")).content.decode()

    assert "<strong>Yours 20.8%</strong> from 172 plants, 36 lost" in text  # 44 of 212
    assert "<strong>Yours 21.5%</strong> from 160 plants, 35 lost" in text  # 43 of 200
    assert "Common practice: 20%" in text
    assert "Use 21.5<" in text


def test_the_page_asks_as_much_for_many_plants_as_for_one(client, django_assert_max_num_queries):
    for number in range(8):
        root(lot_holding(30, f"T{number}", size="tray"), 20)
    as_grower(client)

    with django_assert_max_num_queries(14):
        client.get(page("expected-losses"))


def test_a_figure_is_taken_over_and_pressed_twice_written_once(client):
    plant = two_seasons(PlantFactory()).plant
    expect_loss(stage="rooting", percent=Decimal(30), plant=plant)
    form = {"request_id": str(uuid4()), "take": f"rooting-{plant.pk}"}
    as_grower(client)

    for _ in range(2):
        answer = client.post(page("expected-losses"), form, follow=True)

    row = ExpectedLoss.objects.get()
    assert (row.plant, row.stage, row.percent) == (plant, "rooting", Decimal("21.5"))
    assert "In use" in answer.content.decode()
    assert not Operation.objects.filter(date__gt=NOW).exists(), "no entry of the ledger"


def test_the_figure_for_all_plants_is_taken_over(client):
    two_seasons(PlantFactory())
    form = {"request_id": str(uuid4()), "take": "liner"}

    answer = as_grower(client).post(page("expected-losses"), form, follow=True)

    assert ExpectedLoss.objects.values_list("plant", "stage", "percent").get() == (
        None,
        "liner",
        Decimal("5"),
    )  # 2 of 40 and 4 of 80
    assert "5% is expected now" in answer.content.decode()


@pytest.mark.parametrize(
    ("take", "answered"),
    [
        ("growing", "no record of that stage yet"),
        ("rooting-999999", "no record of that stage yet"),
        ("", "Choose which one to use"),
    ],
)
def test_what_the_record_cannot_tell_is_refused(client, take, answered):
    root(lot_holding(12, "T9", size="tray"), 11)
    form = {"request_id": str(uuid4()), "take": take}

    answer = as_grower(client).post(page("expected-losses"), form, follow=True)

    assert not ExpectedLoss.objects.exists()
    assert answered in answer.content.decode()


@pytest.mark.parametrize("before", [None, Decimal(0), Decimal("30.25")])
def test_using_the_record_is_undone(client, before):
    plant = two_seasons(PlantFactory()).plant
    expect_loss(stage="rooting", percent=before, plant=plant)
    as_grower(client)
    form = {"request_id": str(uuid4()), "take": f"rooting-{plant.pk}"}
    for _ in range(2):
        client.post(page("expected-losses"), form)

    client.post(client.session["undo"]["url"])

    left = ExpectedLoss.objects.values_list("percent", flat=True).first()
    assert left == before
    assert client.post(page("expected-loss-back", "rooting", 0, "120")).status_code == 404


def test_taking_over_asks_for_leave(client):
    client.force_login(UserFactory())

    assert client.post(page("expected-loss-back", "rooting", 0, "none")).status_code == 403
    assert client.post(page("expected-losses"), {"take": "rooting"}).status_code == 403
