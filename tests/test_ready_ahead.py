"""What becomes ready to sell in the months to come."""

from datetime import date, timedelta

import pytest

from inventory.queries.forecast import forecast, sums_by_month
from tests.entering import as_grower, page
from tests.factories import NurseryFactory, PlantFactory, UserFactory, container, lot_holding

pytestmark = pytest.mark.django_db


def test_plants_in_pots_are_ready_now_and_those_in_trays_later():
    NurseryFactory()
    plant, today = PlantFactory(), date.today()
    lot_holding(40, "P", plant=plant, on=today - timedelta(days=100))
    lot_holding(90, "T", size="tray", plant=plant, on=today)
    now, later = forecast(today)

    assert (now.container, later.container) == (container("#1"), container("#1"))
    assert now.month == today.replace(day=1) < later.month
    for row, plants in ((now, 40), (later, 90)):
        assert 0 < row.ready.low < row.ready.likely < plants and row.ready.high <= plants
    assert sum(ready.likely for _, ready in sums_by_month([now, later], today)) == pytest.approx(
        now.ready.likely + later.ready.likely
    )


def test_the_page_the_picture_and_the_file_say_the_same(client):
    plant = PlantFactory(name="Ilex crenata 'Fenside'")
    lot_holding(40, plant=plant)
    client.force_login(UserFactory())

    shown = client.get(page("ready-ahead"))
    assert "will be sold, about" in shown.text and "Ilex crenata" in shown.text
    assert client.get(page("ready-chart")).headers["Content-Type"] == "image/svg+xml"
    head, row = client.get(page("ready-ahead") + "?_export=csv").text.splitlines()
    assert head.lstrip("\ufeff") == "Plant,Month,In,About,At least,At most"
    assert row.startswith(f"{plant.name},{date.today().replace(day=1).isoformat()},#1,")


def test_one_container_is_looked_at_by_itself(client):
    lot_holding(40)
    shown = as_grower(client).get(f"{page('ready-ahead')}?container={container('#3').pk}")

    assert "Nothing that grows becomes ready in two years" in shown.text
