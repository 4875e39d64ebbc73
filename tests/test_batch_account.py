"""The account of a batch: plants and money by stage, and what it earned."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory import operations
from inventory.models import Batch, Person
from inventory.operations import Loss
from inventory.operations.spending import Work
from inventory.queries.batch_account import account_of
from sales import operations as sales_operations
from tests.bill_scenes import spaced
from tests.entering import as_grower
from tests.factories import (
    DAY,
    NurseryFactory,
    PlantFactory,
    cause,
    lot_holding,
    sell_from,
)
from tests.growing_scenes import potted_lot
from tests.test_ledger_file import left_behind, read

pytestmark = pytest.mark.django_db


def account(code: str | None = None):
    return account_of(Batch.objects.get(code=code) if code else Batch.objects.get())


def test_it_tells_what_went_in_and_what_each_stage_made_of_it():
    """By hand, as in `potted_lot`: 50.00 of cuttings over 100 stuck and 80 rooted; 60.00 of
    potting over 40, of which 4 died as expected and 6 were sold."""
    potted_lot()

    found = account()

    assert found.went_in == {"cuttings": 50, "containers": 20, "labour": 40}
    tray, pot = found.lines
    assert (tray.stage.came, tray.stage.lost_normal, tray.stage.went_on) == (100, 20, 40)
    assert (pot.stage.came, pot.stage.lost_normal, pot.stage.sold) == (40, 4, 6)
    assert (tray.stage.on_hand, pot.stage.on_hand) == (40, 30)
    assert (tray.cost_added, pot.cost_added) == (50, 60)
    assert found.per_begun == Fraction(1, 2)
    assert found.per_rooted == Fraction(5, 8), "50.00 over 80, by division"
    assert abs(found.per_saleable - Fraction(85, 36)) < Fraction(1, 1_000_000)
    assert tray.carried_by_others == 10, "20 dead cuttings of 0.50"
    assert pot.carried_by_others == Fraction(17, 2), "4 of 2.125"
    assert found.revenue == 60


def test_all_money_is_somewhere():
    lot = potted_lot()
    loss = Loss(lot, 3, cause("damage"), "abnormal")
    operations.write_off(losses=[loss], on=date(2026, 5, 1), request_id=uuid4())
    operations.take_out(kind="give", lot=lot, quantity=2, on=date(2026, 5, 2), request_id=uuid4())

    found = account()

    gone = ("sold_cost", "used_cost", "held_cost", "expensed")
    assert sum(found.money(name) for name in gone) == found.cost_in == 110
    assert found.joined_by_blending == 0
    assert found.plants("lost_abnormal") == 3
    assert found.money("expensed") > 7


def test_a_return_takes_its_revenue_back_and_a_discard_is_lost():
    lot = lot_holding(10, medium="20.00")
    document = sell_from(lot, 4, "9.00")
    for restock, plants in ((True, 1), (False, 2)):
        sales_operations.take_back(
            document=document, plants=[(lot, plants)], on=DAY, restock=restock, request_id=uuid4()
        )

    found = account()

    (line,) = found.lines
    assert (line.stage.sold, line.stage.on_hand, line.stage.lost_abnormal) == (1, 7, 2)
    assert found.revenue == 9
    assert (found.money("sold_cost"), found.money("expensed")) == (2, 4)


def test_of_a_blend_it_has_its_share():
    plant = PlantFactory()
    dear = lot_holding(10, "DEAR", plant=plant, batch="DEAR", medium="30.00")
    cheap = lot_holding(30, "CHEAP", plant=plant, batch="CHEAP", medium="30.00")
    operations.blend(lot=dear, to_lot=cheap, on=DAY, request_id=uuid4())
    sell_from(cheap, 8, "5.00")

    found = account("DEAR")

    assert found.plants("sold") == 2
    assert found.revenue == 10
    assert found.money("sold_cost") == 3
    assert found.plants("on_hand") == 8
    assert found.joined_by_blending == -15, "its 30.00 became a quarter of 60.00"


def test_a_cost_that_found_no_plant_is_expensed():
    lot = lot_holding(2, medium="4.00")
    sell_from(lot, 2)
    operations.add_cost(lot=lot, costs={"feed": Decimal(3)}, on=DAY, request_id=uuid4())

    found = account()

    assert (found.cost_in, found.money("expensed")) == (7, 3)


def test_what_an_hour_of_own_work_and_a_square_metre_earned():
    spaced("#1", None, footprint=10)
    lot = lot_holding(100, on=DAY, medium="50.00")
    own = Person.objects.create(name="I", hourly_rate=Decimal(15), is_own=True)
    hired = Person.objects.create(name="Wren", hourly_rate=Decimal(20))
    uses = [Work(own, Decimal(120)), Work(hired, Decimal(30))]
    operations.add_cost(lot=lot, uses=uses, on=DAY, request_id=uuid4())
    sell_from(lot, 100, "2.00", on=DAY + timedelta(days=73))

    found = account()

    assert (found.own_hours, found.went_in["own_time"]) == (2, 30)
    assert found.earnings == 140, "200.00 less 50.00 of medium and 10.00 of hired work"
    assert found.per_own_hour == 70
    assert found.square_metre_years == Fraction(1, 5), "one square metre for 73 of 365 days"
    assert found.per_square_metre_year == 700


def test_an_undone_batch_has_an_empty_account():
    lot_holding(5, medium="4.00")
    operations.reverse(operation=Batch.objects.get().movements.get().operation, request_id=uuid4())

    found = account()

    assert (found.cost_in, found.lines, found.per_begun) == (0, [], None)


def descended(lots: int) -> None:
    """Read a batch whose plants went into so many lots, of one of which two were sold."""
    day = DAY.isoformat()
    file = ["date,event,lot,to_lot,batch,plant,container,quantity,category,amount,price"]
    file.append(f"{day},stick,T,,B,Buxus,tray,3000,cuttings,300,")
    file += [f"{day},pot_up,T,P{n},,,#1,3,containers,0.90," for n in range(lots)]
    file.append(f"{day},sale,P0,,,,,2,,,5.00")
    read("\n".join(file))


def queries_of(act, *what) -> int:
    with CaptureQueriesContext(connection) as asked:
        act(*what)
    return len(asked)


def test_a_thousand_descendants_need_no_more_queries_than_one(client):
    NurseryFactory()
    as_grower(client)
    numbers = []
    for lots in (1, 1_000):
        with left_behind():
            descended(lots)
            batch = Batch.objects.get()
            address = reverse("inventory:batch", args=[batch.pk])
            client.get(address)
            numbers.append((queries_of(account_of, batch), queries_of(client.get, address)))
            found = account_of(batch)

            assert found.plants("on_hand") == 2_998
            assert found.cost_in == 300 + lots * Fraction(9, 10)
            assert found.revenue == 10

    assert numbers[0] == numbers[1]


def test_the_page_shows_the_account_with_its_pictures(client):
    NurseryFactory()
    as_grower(client)
    potted_lot()

    shown = client.get(reverse("inventory:batch", args=[Batch.objects.get().pk])).content.decode()

    assert "$110.00" in shown
    assert "$0.625" in shown
    assert "$2.36" in shown
    for by in ("stages", "life"):
        assert f"by={by}" in shown


@pytest.mark.parametrize("by", ["stages", "life"])
def test_the_pictures_are_drawn(client, by):
    NurseryFactory()
    as_grower(client)
    potted_lot()
    address = reverse("inventory:batch-chart", args=[Batch.objects.get().pk])

    answer = client.get(address, {"by": by, "narrow": "1"})

    assert answer["Content-Type"] == "image/svg+xml"
    assert b"<svg" in answer.content


def test_a_batch_without_plants_has_a_page(client):
    NurseryFactory()
    as_grower(client)
    lot_holding(5, medium="4.00")
    operations.reverse(operation=Batch.objects.get().movements.get().operation, request_id=uuid4())

    page = client.get(reverse("inventory:batch", args=[Batch.objects.get().pk]))

    assert page.status_code == 200
