"""The lists of the growing side: what is where, lots, batches, plants."""

from datetime import date

import pytest
from django.urls import reverse

from inventory.models import Lot
from tests.entering import as_grower
from tests.factories import NurseryFactory, PlantFactory, UserFactory, lot_holding
from tests.growing_scenes import lose, potted_lot

pytestmark = pytest.mark.django_db
PAGES = ["growing", "lot-list", "batch-list", "plant-list", "entry-list", "search"]


@pytest.fixture
def grower(client):
    NurseryFactory()
    return as_grower(client)


def listed(client, name="lot-list", **query):
    """Return the codes or names of the rows on a page, in order."""
    rows = client.get(reverse(f"inventory:{name}"), query).context["table"].page.object_list
    return [str(row.record) for row in rows]


@pytest.mark.parametrize("name", PAGES)
def test_each_page_asks_for_a_login(client, name):
    UserFactory()

    answer = client.get(reverse(f"inventory:{name}"))

    assert answer.url.startswith("/accounts/login/")


@pytest.mark.parametrize("name", PAGES)
def test_each_page_of_an_empty_ledger_is_shown(grower, name):
    assert grower.get(reverse(f"inventory:{name}")).status_code == 200


@pytest.mark.parametrize("name", PAGES)
def test_a_list_has_no_query_per_row(grower, name, django_assert_max_num_queries):
    plants = [PlantFactory() for _ in range(3)]
    for number in range(24):
        lot_holding(number + 1, f"L{number}", plant=plants[number % 3])

    with django_assert_max_num_queries(11):
        grower.get(reverse(f"inventory:{name}"), {"q": "L"})


def test_the_hub_adds_up_by_container_and_place(grower):
    potted_lot()
    lot_holding(70, "TRAY", size="tray")

    context = grower.get(reverse("inventory:growing")).context

    columns = ("container__code", "plants", "rooting")
    numbers = [tuple(row[column] for column in columns) for row in context["containers"]]
    assert numbers == [("tray", 110, 70), ("#1", 30, 0)]
    assert {(row["place__name"], row["plants"]) for row in context["standing"]} == {
        (None, 110),
        ("South bed", 30),
    }


def test_lots_without_plants_are_listed_only_when_asked_for(grower):
    lose(lot_holding(3, "EMPTY"), 3)
    lot_holding(4, "FULL")

    assert listed(grower) == ["FULL"]
    assert listed(grower, holding="all") == ["EMPTY", "FULL"]


@pytest.mark.parametrize("typed", ["taxus x media", "TAXUS × MEDIA", "hicks' yew", "“Hicksii”"])
def test_lots_are_found_by_plant_however_it_is_spelt(grower, typed):
    potted_lot()
    lot_holding(5, "OTHER")

    assert listed(grower, plant=typed) == ["TXH-24A", "TXH-24A-1"]


def test_lots_are_narrowed_by_container_place_and_stage(grower):
    lot = potted_lot()
    lot_holding(9, "YOUNG", size="tray")
    place = lot.balance.place_id or Lot.objects.get(pk=lot.pk).balance.place_id

    assert listed(grower, container=lot.container_id) == ["TXH-24A-1"]
    assert listed(grower, place=place) == ["TXH-24A-1"]
    assert listed(grower, place="null") == ["TXH-24A", "YOUNG"]
    assert listed(grower, stage="rooting") == ["YOUNG"]
    assert listed(grower, stage="liner") == ["TXH-24A"]
    assert listed(grower, stage="growing") == ["TXH-24A-1"]


def test_lots_are_ordered_by_the_cost_of_one_plant(grower):
    lot_holding(10, "DEAR", medium="50.00")
    lot_holding(100, "CHEAP", medium="60.00")
    lot_holding(10, "MIDDLE", medium="20.00")

    assert listed(grower, sort="unit_cost") == ["CHEAP", "MIDDLE", "DEAR"]
    assert listed(grower, sort="-unit_cost") == ["DEAR", "MIDDLE", "CHEAP"]
    assert listed(grower, sort="-cost") == ["CHEAP", "DEAR", "MIDDLE"]


def test_a_filter_that_makes_no_sense_is_refused_in_words(grower):
    lot_holding(3)

    answer = grower.get(reverse("inventory:lot-list"), {"container": "no such"})

    assert answer.status_code == 200
    assert "valid choice" in answer.content.decode()


def test_batches_show_their_strike(grower):
    potted_lot()

    text = grower.get(reverse("inventory:batch-list")).content.decode()

    assert "TXH-24A" in text
    assert "80%" in text


def test_plants_show_what_is_on_hand_and_for_sale(grower):
    potted_lot()

    (row,) = grower.get(reverse("inventory:plant-list")).context["table"].page.object_list

    assert (row.record.on_hand, row.record.for_sale, row.record.standing) == (70, 30, 2)


def test_batches_are_narrowed_by_date(grower):
    lot_holding(3, "OLD", batch="OLD", on=date(2023, 5, 1))
    lot_holding(3, "NEW", batch="NEW", on=date(2025, 5, 1))

    assert listed(grower, "batch-list", since="2024-01-01") == ["NEW"]
