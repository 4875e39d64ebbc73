"""The price of a pot in a plant, down to the purchases behind it."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest

from inventory.models import Lot, SupplyEntry
from inventory.operations.reverse import reverse
from inventory.operations.spending import Use
from inventory.operations.supplies import undo_supply_entry
from inventory.queries.supply_use import price_behind
from tests.entering import as_grower, page
from tests.factories import NurseryFactory, UserFactory
from tests.filled import fill_with_the_demo
from tests.supply_scenes import bought, pot_up, potting, rooted_tray

pytestmark = pytest.mark.django_db


def two_pottings():
    """Pot twice, with a purchase between.

    By hand: 100 pots for 40.00 are 0.40 each; 40 of them cost 16.00 and leave 60 worth
    24.00. 60 more for 27.00 make 120 worth 51.00, 0.425 each; 10 of those cost 4.25.
    """
    pots, _ = potting()
    tray = rooted_tray()
    first = pot_up(tray, 40, [Use(pots, Decimal(40))])
    undo_supply_entry(entry=bought(pots, "500", "1.00"), request_id=uuid4())
    bought(pots, "60", "27.00", on=date(2025, 4, 4), supplier="Hollin Bank Bark")
    second = pot_up(tray, 10, [Use(pots, Decimal(10))])
    return first, second


def test_a_pot_costs_the_moving_average_of_the_purchases_before_it():
    first, second = (operation.supplies.get() for operation in two_pottings())

    early, late = price_behind(first), price_behind(second)

    assert (early.there, early.worth, early.average) == (100, Decimal("40.00"), Fraction(2, 5))
    assert -first.amount == Decimal("16.00")
    assert [(one.quantity, one.amount) for one in late.purchases] == [
        (60, Decimal("27.00")),
        (100, Decimal("40.00")),
    ], "the undone purchase is no part of the price"
    assert (late.gone, late.gone_amount) == (-40, Decimal("-16.00"))
    assert (late.there, late.worth, late.average) == (120, Decimal("51.00"), Fraction(17, 40))
    assert -second.amount == Decimal("4.25")


def test_the_page_of_a_use_names_each_purchase_and_leads_on(client):
    NurseryFactory()
    _, second = two_pottings()
    use, grower = second.supplies.get(), as_grower(client)

    text = grower.get(page("supply-use", use.pk)).content.decode()

    for words in ("$4.25", "$0.425", "Marrowgate Pot Works", "Hollin Bank Bark", "51.00"):
        assert words in text, words
    assert page("supply", use.supply_id) in text
    lot = grower.get(page("lot", Lot.objects.get(code="THS-24A-1").pk)).content.decode()
    assert page("supply-use", use.pk) in lot, "the lot's story opens to it"


def test_an_undone_use_says_so_and_a_purchase_has_no_such_page(client):
    NurseryFactory()
    _, second = two_pottings()
    reverse(operation=second, request_id=uuid4())
    grower = as_grower(client)

    assert (
        "given back" in grower.get(page("supply-use", second.supplies.first().pk)).content.decode()
    )
    purchase = SupplyEntry.objects.filter(kind="bought").first()
    assert grower.get(page("supply-use", purchase.pk)).status_code == 404


def test_the_page_of_a_use_asks_for_a_login(client):
    NurseryFactory()
    UserFactory()
    assert "login" in client.get(page("supply-use", 1)).url


def test_a_lots_costs_open_by_category(client):
    NurseryFactory()
    two_pottings()
    lot, grower = Lot.objects.get(code="THS-24A-1"), as_grower(client)

    pots = grower.get(page("lot", lot.pk), {"cost": "containers"}).content.decode()
    labour = grower.get(page("lot", lot.pk), {"cost": "labour"}).content.decode()

    assert "pieces Pots #1" in pots
    assert "Stuck" not in pots
    assert "Lot <a" in labour and "pieces Pots #1" not in labour, "the tray's labour"


def test_each_pot_of_the_demo_costs_what_its_purchases_say():
    fill_with_the_demo()
    uses = SupplyEntry.objects.filter(kind="used").select_related("supply", "operation")

    # By hand: the first 48 pots came from 1200 bought for 426.67: 48 × 426.67 / 1200.
    first = uses.filter(supply__name="Pots #1").earliest("date")
    assert (first.quantity, -first.amount) == (-48, Decimal("17.0668"))
    for use in uses.filter(supply__name="Pots #1"):
        behind = price_behind(use)
        by_hand = behind.average * Fraction(-use.quantity)
        assert abs(Fraction(-use.amount) - by_hand) <= Fraction(1, 2_000_000), use
        charged = use.operation.costs.filter(category="containers", amount=-use.amount)
        assert charged.exists(), "the lot bears exactly what left the shed"
