"""How a batch struck and where its plants are; a plant with its cautions."""

from datetime import timedelta
from fractions import Fraction
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory import operations
from inventory.models import Batch, Lot
from inventory.queries.strikes import strikes
from inventory.queries.whereabouts import whereabouts
from sales import operations as sales_operations
from tests.entering import as_grower
from tests.factories import DAY, NurseryFactory, PlantFactory, UserFactory, lot_holding, sell_from
from tests.growing_scenes import count_rooted, lose, potted_lot

pytestmark = pytest.mark.django_db


@pytest.fixture
def grower(client):
    NurseryFactory()
    return as_grower(client)


def strike_of(batch):
    return strikes([batch.pk])[batch.pk]


def test_the_strike_is_rooted_out_of_stuck():
    potted_lot()

    strike = strike_of(Batch.objects.get())

    assert (strike.stuck, strike.rooted, strike.percent) == (100, 80, 80)


def test_a_batch_that_was_not_counted_has_no_strike_yet():
    lot_holding(60, "T", size="tray")

    assert strike_of(Batch.objects.get()).percent is None


def test_plants_potted_up_between_two_counts_are_not_taken_for_lost():
    tray = lot_holding(100, "T", size="tray")
    count_rooted(tray, 90, on=DAY + timedelta(days=60))
    operations.move(
        lot=tray, quantity=50, to_lot="T2", on=DAY + timedelta(days=61), request_id=uuid4()
    )
    count_rooted(tray, 36, on=DAY + timedelta(days=80))

    assert strike_of(Batch.objects.get()).percent == 86


def test_only_the_lots_that_were_counted_are_in_the_strike():
    plant = PlantFactory()
    counted = lot_holding(100, "T1", size="tray", plant=plant, batch="B")
    lot_holding(50, "T2", size="tray", plant=plant, batch="B")
    count_rooted(counted, 70, on=DAY)

    strike = strike_of(Batch.objects.get())

    assert (strike.stuck, strike.counted, strike.percent) == (150, 100, 70)


def test_every_plant_of_a_batch_is_somewhere():
    lot = potted_lot()
    document = sell_from(lot, 5, on=DAY + timedelta(days=800))
    sales_operations.take_back(
        document=document,
        plants=[(lot, 2)],
        on=DAY + timedelta(days=801),
        restock=True,
        request_id=uuid4(),
    )

    where = whereabouts(Batch.objects.get())

    assert where.begun == 100
    assert where.lost == {"never rooted": 20, "lost to winter": 4}
    assert (where.sold, where.on_hand) == (9, 67)
    assert where.begun + where.found == (
        where.on_hand + where.sold + where.lost_in_all + where.used + where.given
    )


def test_a_blended_lot_is_shared_between_its_batches():
    one = lot_holding(10, "ONE", batch="B1")
    two = lot_holding(30, "TWO", batch="B2", plant=one.plant)
    operations.blend(lot=two, to_lot=one, on=DAY, request_id=uuid4())
    lose(one, 2, on=DAY + timedelta(days=1))

    first, second = (whereabouts(Batch.objects.get(code=code)) for code in ("B1", "B2"))

    assert (first.lost_in_all, second.lost_in_all) == (Fraction(1, 2), Fraction(3, 2))
    assert first.on_hand + second.on_hand == 38
    assert first.is_blended


def test_the_page_of_a_batch_says_strike_and_whereabouts(grower, django_assert_max_num_queries):
    lot = potted_lot()
    batch = Batch.objects.get()

    with django_assert_max_num_queries(32):
        text = grower.get(reverse("inventory:batch", args=[batch.pk])).content.decode()

    assert "80%" in text
    assert "80 rooted of 100 begun" in text
    assert reverse("inventory:lot", args=[lot.pk]) in text
    assert "Lost to winter" in text


@pytest.mark.parametrize("name", ["batch", "plant"])
def test_the_pages_ask_for_a_login(client, name):
    UserFactory()
    potted_lot()
    key = Batch.objects.get().pk if name == "batch" else Lot.objects.first().plant_id

    answer = client.get(reverse(f"inventory:{name}", args=[key]))

    assert answer.url.startswith("/accounts/login/")


def test_a_plant_warns_of_poison_and_of_a_right(grower):
    plant = PlantFactory(
        name="Taxus ×media 'Hicksii'",
        poisonous="All parts but the red aril are poisonous.",
        propagation_right="US PP 99999, licence 7",
    )

    text = grower.get(reverse("inventory:plant", args=[plant.pk])).content.decode()

    assert "All parts but the red aril are poisonous." in text
    assert "US PP 99999, licence 7" in text
    assert "owner's leave" in text
    assert "None on hand" in text


def test_a_plant_adds_up_its_lots(grower, django_assert_max_num_queries):
    lot = potted_lot()

    with django_assert_max_num_queries(16):
        answer = grower.get(reverse("inventory:plant", args=[lot.plant_id]))

    assert answer.context["sum"]["plants"] == 70
    assert [row["plants"] for row in answer.context["containers"]] == [40, 30]
    assert "80% struck" in answer.content.decode()
