"""What a plant looks like at the stand: its picture, else the drawing of its habit."""

import re
from uuid import uuid4

import pytest
from django.contrib.staticfiles import finders
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory import operations
from inventory.habits import Habit, guessed_habit
from inventory.models import Plant
from nursery.pictures import TINY
from sales.views.away import KEPT_FILES
from tests.entering import as_grower, page
from tests.factories import NurseryFactory, PlantFactory, give_price, lot_holding
from tests.test_photos import opened, taken


@pytest.fixture
def seller(client, db):
    NurseryFactory()
    return as_grower(client)


def for_sale(name, **more):
    """Put plants of a name at the stand and return their kind."""
    lot = lot_holding(5, name[:12], plant=PlantFactory(name=name, **more))
    give_price(lot, "12.00")
    return lot.plant


def drawings(client):
    return re.findall(r"icons/plants[^#]*\.svg#(\w+)", plain_page(client))


def plain_page(client):
    """Return the stand as it is without scripts."""
    return client.get(reverse("sales:sell") + "?plain=yes").content.decode()


@pytest.mark.parametrize(
    ("name", "habit"),
    [  # common practice, from memory
        ("Thuja occidentalis 'Smaragd'", "cone"),
        ("×Cuprocyparis leylandii", "cone"),
        ("Juniperus horizontalis 'Wiltonii'", "spreading"),
        ("Juniperus ×pfitzeriana 'Sea Green'", "shrub"),
        ("Juniperus scopulorum", "column"),
        ("Taxus ×media 'Hicksii'", "mound"),
        ("Cornus sericea", "shrub"),
        ("Cornus florida", "tree"),
        ("Acer rubrum", "tree"),
        ("Miscanthus sinensis", "grass"),
        ("Boxwood, mixed", "shrub"),
        ("", "shrub"),
    ],
)
def test_the_habit_is_guessed_from_the_name(name, habit):
    assert guessed_habit(name) == habit


def test_each_habit_has_a_drawing_that_a_phone_keeps():
    with open(finders.find("icons/plants.svg")) as file:
        drawn = re.findall(r'<symbol id="(\w+)"', file.read())

    assert sorted(drawn) == sorted(Habit.values)
    assert "icons/plants.svg" in KEPT_FILES


def test_the_stand_draws_a_plant_and_its_own_habit_goes_before_its_genus(seller):
    plant = for_sale("Taxus baccata 'Fastigiata'")
    assert drawings(seller) == ["mound"]

    form = {"request_id": "0" * 32, "name": plant.name, "habit": "column"}
    seller.post(page("plant-edit", plant.pk), form)

    assert Plant.objects.get().habit == "column"
    assert drawings(seller) == ["column"]
    (row,) = seller.get(reverse("sales:sell-data")).json()["plants"]
    assert "#column" in row["likeness"]


def test_a_shape_nobody_drew_is_refused(seller):
    form = {"request_id": "0" * 32, "name": "Hedera helix", "habit": "climber"}

    answer = seller.post(page("plant-add"), form)

    assert "climber is not one of the available choices" in answer.content.decode()
    assert not Plant.objects.exists()


def test_the_stand_shows_the_newest_picture_very_small(seller):
    plant = for_sale("Ilex crenata")
    photo = operations.add_photo(plant=plant, content=taken((900, 600)), request_id=uuid4())
    address = page("photo-tiny", photo.small)

    assert f'src="{address}" alt=""' in plain_page(seller)
    assert address in seller.get(reverse("sales:sell-data")).json()["plants"][0]["likeness"]
    assert opened(seller.get(address).content).size == TINY
    operations.remove_photo(photo=photo)
    assert seller.get(address).status_code == 404
    assert address not in plain_page(seller)


@pytest.mark.parametrize("address", ["/sell/?plain=yes", "/sell/data.json"])
def test_many_pictures_ask_the_database_no_more(seller, address):
    def asked():
        with CaptureQueriesContext(connection) as found:
            seller.get(address)
        return len(found)

    for name in ("Ilex crenata", "Acer rubrum"):
        operations.add_photo(plant=for_sale(name), content=taken(), request_id=uuid4())
    asked()
    few = asked()
    for name in ("Ilex glabra", "Abies alba", "Buxus sinica"):
        operations.add_photo(plant=for_sale(name), content=taken(), request_id=uuid4())

    assert asked() == few
