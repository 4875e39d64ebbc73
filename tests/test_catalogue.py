"""The nursery's own lists: plants, places, containers, stock plants, expected losses."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from inventory.models import Container, ExpectedLoss, Nursery, Place, Plant, StockPlant
from inventory.operations import catalogue
from inventory.operations.catalogue import NameTaken, WouldStandInItself
from tests.entering import as_grower, page
from tests.factories import (
    NurseryFactory,
    PlaceFactory,
    PlantFactory,
    UserFactory,
    container,
    lot_holding,
)

pytestmark = pytest.mark.django_db


def test_a_plant_is_added_once_and_its_name_put_right():
    first = catalogue.add_plant(name="Taxus x media cv. Hicksii", common_name="yew")
    second = catalogue.add_plant(name="Taxus ×media 'Hicksii'", common_name="yew")

    assert first == second and first.name == "Taxus ×media 'Hicksii'"


def test_a_name_that_is_taken_is_refused():
    PlantFactory(name="Taxus ×media 'Hicksii'")
    other = PlantFactory(name="Ilex crenata")

    with pytest.raises(NameTaken, match="on the list already"):
        catalogue.add_plant(name="Taxus media 'Hicksii'", common_name="yew")
    with pytest.raises(NameTaken, match="another plant on the list"):
        catalogue.edit_plant(plant=other, name="taxus media hicksii")


def test_the_database_refuses_two_plants_of_one_name():
    PlantFactory(name="Ilex crenata")

    with pytest.raises(IntegrityError), transaction.atomic():
        PlantFactory(name="Ilex x crenata")


def test_a_place_cannot_stand_in_its_own_part():
    house = PlaceFactory(name="House")
    bench = PlaceFactory(name="Bench", parent=house)

    with pytest.raises(WouldStandInItself):
        catalogue.edit_place(place=house, name="House", parent=bench)


def test_the_database_refuses_a_place_without_an_area_and_a_share_over_all():
    with pytest.raises(IntegrityError), transaction.atomic():
        PlaceFactory(area_m2=Decimal(0))
    with pytest.raises(IntegrityError), transaction.atomic():
        ExpectedLoss.objects.create(stage="growing", percent=Decimal(101))


def test_the_page_adds_a_plant_and_pressed_twice_adds_one(client):
    form = {"request_id": "0" * 32, "name": "Ilex x meserveae cv. Blue Maid"}
    form["poisonous"] = "berries"

    for _ in range(2):
        answer = as_grower(client).post(page("plant-add"), form)

    plant = Plant.objects.get()
    assert answer.url == page("plant", plant.pk)
    assert (plant.name, plant.poisonous) == ("Ilex ×meserveae 'Blue Maid'", "berries")


def test_the_page_advises_on_a_name_and_keeps_it_by_a_tick(client):
    # ICNCP 2016: a cultivar epithet is no single letter.
    form = {"request_id": "0" * 32, "name": "Buxus 'Q'"}

    answer = as_grower(client).post(page("plant-add"), form)
    assert "is a single letter" in answer.content.decode()
    assert "keep_name" in answer.content.decode() and not Plant.objects.exists()

    client.post(page("plant-add"), form | {"keep_name": "on"})
    plant = Plant.objects.get()
    assert "is a single letter" in client.get(page("plant-edit", plant.pk)).content.decode()
    client.post(page("plant-edit", plant.pk), form | {"common_name": "box"})
    assert Plant.objects.get().common_name == "box"


def test_the_page_changes_a_plant_and_refuses_a_taken_name(client):
    PlantFactory(name="Ilex crenata")
    plant = PlantFactory(name="Ilex glabra")
    address = page("plant-edit", plant.pk)
    form = {"request_id": "0" * 32, "name": "ilex crenata", "note": "from the lower bed"}

    answer = as_grower(client).post(address, form)
    assert "another plant on the list" in answer.context["form"].errors["name"][0]
    assert "from the lower bed" in answer.content.decode()

    client.post(address, form | {"name": "Ilex glabra 'Shamrock'"})
    plant.refresh_from_db()
    assert plant.name == "Ilex glabra 'Shamrock'"


def test_a_place_in_square_feet_is_kept_in_square_metres(client):
    # 1 ft = 0.3048 m exactly (NIST SP 811), so 100 square feet are 9.29 square metres.
    NurseryFactory(units=Nursery.Units.US)
    form = {"request_id": "0" * 32, "name": "Hoop house", "area": "100"}

    as_grower(client).post(page("place-add"), form)

    place = Place.objects.get()
    assert place.area_m2 == Decimal("9.29")
    assert 'value="100"' in client.get(page("place-edit", place.pk)).content.decode()


def test_a_place_in_square_metres_stays_so(client):
    NurseryFactory(units=Nursery.Units.METRIC)
    form = {"request_id": "0" * 32, "name": "Tunnel", "area": "100", "heated": "on"}

    as_grower(client).post(page("place-add"), form)

    assert (Place.objects.get().area_m2, Place.objects.get().heated) == (Decimal(100), True)


def test_the_places_say_what_stands_there(client, django_assert_max_num_queries):
    for number in range(8):
        PlaceFactory(name=f"Bench {number}", parent=PlaceFactory())
    as_grower(client)

    with django_assert_max_num_queries(8):
        text = client.get(page("place-list")).content.decode()

    assert "Bench 7" in text and "empty" in text


def test_a_place_is_changed(client):
    place = PlaceFactory(name="Bench")

    as_grower(client).post(
        page("place-edit", place.pk), {"request_id": "0" * 32, "name": "Bench 1", "area": ""}
    )

    assert Place.objects.get().name == "Bench 1"


def test_the_containers_show_range_edition_and_source(client):
    # ANSI Z60.1-2014: class #1 is 152 to 251 cubic inches.
    text = as_grower(client).get(page("container-list")).content.decode()

    assert "152 to 251" in text and "ANSI Z60.1" in text


def test_a_container_is_taken_out_of_use_and_its_class_stays(client):
    row = container("#3")

    as_grower(client).post(
        page("container-edit", row.pk),
        {"request_id": "0" * 32, "name": "Three", "footprint_cm": "27", "ansi_class": "#7"},
    )

    row = Container.objects.get(pk=row.pk)
    assert (row.in_use, row.footprint_cm, row.ansi_class) == (False, 27, "#3")


def test_a_stock_plant_is_added_with_its_plant_and_only_once(client):
    form = {"request_id": "0" * 32, "plant": "Ilex crenata", "code": "Row 4"}

    for _ in range(2):
        as_grower(client).post(page("stock-plant-add"), form, follow=True)

    assert StockPlant.objects.get().plant.name == "Ilex crenata"
    answer = client.post(page("stock-plant-add"), form | {"plant": "Ilex glabra"})
    assert "has that code" in answer.context["form"].errors["code"][0]
    assert not Plant.objects.filter(name="Ilex glabra").exists()


def test_expected_losses_are_set_for_all_and_taken_away_again(client):
    address = page("expected-losses")
    form = {"request_id": "0" * 32, "rooting": "20", "liner": "", "growing": "7.5"}

    as_grower(client).post(address, form)
    percents = dict(ExpectedLoss.objects.values_list("stage", "percent"))
    assert percents == {"rooting": 20, "growing": Decimal("7.5")}

    client.post(address, form | {"rooting": ""})
    assert not ExpectedLoss.objects.filter(stage="rooting").exists()


def test_expected_losses_are_set_for_one_plant(client):
    plant = PlantFactory()
    form = {"one-request_id": "0" * 32, "one-plant": plant.pk, "one-stage": "rooting", "own": "1"}

    as_grower(client).post(page("expected-losses"), form | {"one-percent": "45"})
    assert ExpectedLoss.objects.get().plant == plant

    client.post(page("expected-losses"), form | {"one-percent": ""})
    assert not ExpectedLoss.objects.exists()


@pytest.mark.parametrize("percent", ["101", "-1", "half"])
def test_a_share_that_cannot_be_is_refused(client, percent):
    form = {"request_id": "0" * 32, "rooting": percent, "growing": "5"}

    answer = as_grower(client).post(page("expected-losses"), form)

    assert answer.context["all_form"].errors["rooting"]
    assert not ExpectedLoss.objects.exists()


def test_what_was_written_off_stays_when_the_expectation_changes(client):
    lot = lot_holding(10, medium="10.00")
    catalogue.expect_loss(stage="growing", percent=Decimal(10))

    catalogue.expect_loss(stage="growing", percent=Decimal(50))

    lot.balance.refresh_from_db()
    assert lot.balance.cost == Decimal("10.00")
    assert ExpectedLoss.objects.get().percent == 50


NAMES = ["plant-add", "place-add", "stock-plant-add", "expected-losses"]


@pytest.mark.parametrize("name", NAMES)
def test_each_page_asks_for_a_login_and_for_leave(client, name):
    assert client.get(page(name)).status_code == 302

    client.force_login(UserFactory())
    assert client.post(page(name), {"name": "X"}).status_code == 403


@pytest.mark.parametrize("name", ["place-list", "container-list", "stock-plant-list"])
def test_each_list_asks_for_a_login_and_can_be_read(client, name):
    assert client.get(page(name)).status_code == 302

    client.force_login(UserFactory())
    assert client.get(page(name)).status_code == 200
