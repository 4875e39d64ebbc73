"""Whether there will be room, week by week and place by place."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory import operations
from inventory.queries.space_ahead import space_ahead
from tests.entering import as_grower, page
from tests.factories import PlaceFactory, PlantFactory, container, lot_holding

pytestmark = pytest.mark.django_db
TODAY = date.today()


def house_with_pots(area: str, pots: int = 100):
    """A house and pots of 17 cm, pot to pot 0.0289 m² each, that are ready now."""
    house, lot = PlaceFactory(name="House", area_m2=Decimal(area)), lot_holding(pots)
    operations.move(lot=lot, place=house, on=TODAY, request_id=uuid4())
    return lot


def test_plants_take_their_room_until_they_are_sold():
    """By hand: 100 pots take 2.89 m² now; selling evenly, a twelfth less each month."""
    house_with_pots("3")
    (row,) = space_ahead(TODAY)

    assert row.weeks[0].area <= Decimal("2.89") and not row.overflows
    assert row.weeks[0].area > row.weeks[20].area > row.weeks[40].area > 0
    assert row.weeks[60].area == 0


def test_a_planned_crop_that_does_not_fit_is_named(client):
    lot = house_with_pots("3", 90)
    operations.add_target(
        plant=lot.plant,
        container=container("#1"),
        quantity=200,
        ready_by=date(TODAY.year + 3, 4, 1),
        request_id=uuid4(),
    )
    (row,) = space_ahead(TODAY)

    assert row.overflows and row.overflows[0].first.monday > TODAY + timedelta(days=100)
    shown = as_grower(client).get(page("room-ahead"))
    assert "House will overflow" in shown.text and "too little" in shown.text
    assert client.get(page("room-chart")).headers["Content-Type"] == "image/svg+xml"


def test_a_nursery_without_areas_is_asked_for_them(client):
    lot_holding(9, plant=PlantFactory())

    assert "No place with plants has its area yet" in as_grower(client).get(page("room-ahead")).text
    assert client.get(page("room-chart")).status_code == 404
