"""What is free is one number: on the list, at the stand, on its lots, and on the lot's page."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.operations.catalogue import expect_loss
from sales.errors import SaleRefused
from sales.queries.availability import availability
from sales.queries.free_lots import with_lots
from sales.queries.stand import lots_to_choose, stand_plants
from tests.factories import NurseryFactory, UserFactory, give_price, lot_holding
from tests.test_hold import TODAY, held
from tests.test_hold_pages import page
from tests.test_ready_on import MAY, growing_lot

pytestmark = pytest.mark.django_db


@pytest.fixture
def lots():
    """Three lots of one kind, 30 plants; 12 of any lot are held, and 5 of the last."""
    NurseryFactory()
    one = lot_holding(10, "A")
    rest = [lot_holding(10, code, plant=one.plant) for code in ("B", "C")]
    give_price(one, "9.00")
    held(one, 12)
    held(one, 5, lot=rest[-1])
    return [one, *rest]


def test_the_list_and_the_stand_agree_with_their_lots(lots):
    (line,) = with_lots(availability())
    (at_stand,) = stand_plants(on=TODAY)
    chosen = lots_to_choose([(line.plant.pk, line.container.pk)])

    assert line.available == at_stand.free == 13, "30 less 12 and 5"
    on_list = {row.lot.code: row.free for row in line.lots}
    to_choose = {lot.code: lot.free for (found,) in [chosen.values()] for lot in found}
    assert on_list == to_choose == {"A": 0, "B": 8, "C": 5}


def test_the_lots_pages_say_the_same(lots, client):
    client.force_login(UserFactory(is_superuser=True))

    said = [page(client, "inventory:lot", lot.pk) for lot in lots]

    for text, free in zip(said, (0, 8, 5), strict=True):
        assert f"{free} of 10 are held for nobody" in text
    assert reverse("sales:hold-list") in page(client, "sales:availability")


def test_a_lot_held_of_any_lot_keeps_the_same_number_free_in_all(lots):
    held(lots[0], 13)

    assert availability() == [] and stand_plants(on=TODAY) == []


def test_what_grows_and_is_free_can_be_promised_to_the_last_plant():
    # 40 at 10 percent loss: 36 live. Ten promised use twelve; of 28 left 25 live.
    expect_loss(stage="growing", percent=Decimal(10))
    lot = growing_lot(40)
    held(lot, 10, ahead=True, until=MAY)

    (line,) = with_lots(availability())
    assert (line.available, [row.free for row in line.lots]) == (25, [25])
    with pytest.raises(SaleRefused, match="26 cannot be promised"):
        held(lot, 26, ahead=True, until=MAY)
    assert held(lot, 25, ahead=True, until=MAY)
