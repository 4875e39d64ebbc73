"""How long it takes to share one bill over 10,000 lots and a year of their comings and goings."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory.models import (
    Batch,
    Carried,
    Container,
    LossCause,
    Lot,
    LotBalance,
    Movement,
    Operation,
    Place,
    Placement,
    Plant,
)
from inventory.queries.bills import Asked, share_out
from inventory.queries.occupancy import CHANGES, HELD, STANDING
from tests.benchmarks.bare import bare
from tests.benchmarks.measuring import least, note, timed
from tests.benchmarks.opened import opened

LOTS = 10_000
PLACES = 8
LAST = date(2026, 10, 31)
FIRST = LAST - timedelta(days=364)
TIMES = 7


@pytest.fixture
def lots_of_a_year(copies):
    """A ledger of 10,000 lots; each came, lost some and moved once within a year."""
    place = copies(0)[0]
    with opened(place):
        fill()
    return place


def fill() -> None:
    """Write the lots with their movements and placements straight into the tables."""
    places = Place.objects.bulk_create(
        Place(name=f"House {n}", area_m2=Decimal(900)) for n in range(PLACES)
    )
    plant = Plant(name="Buxus sempervirens 'Bench'")
    plant.save()
    pot = Container.objects.get(code="#1")
    batch = Batch.objects.create(code="B", plant=plant, kind="stick", started_on=FIRST)
    lots = Lot.objects.bulk_create(
        [Lot(code=f"L{n}", plant=plant, container=pot, began_on=FIRST) for n in range(LOTS)],
        batch_size=500,
    )
    LotBalance.objects.bulk_create(
        [LotBalance(lot=lot, on_hand=50, last_on=LAST) for lot in lots], batch_size=500
    )
    write_lines(lots, batch, places)


def write_lines(lots, batch, places) -> None:
    """Write for each lot 60 plants that began, two losses of five, and two placements."""
    days = [FIRST - timedelta(days=30) + timedelta(days=n) for n in range(300)]
    done = operations_of(days)
    cause = LossCause.objects.get(code="winter")
    moved, stood = [], []
    for number, lot in enumerate(lots):
        began, lost, gone = (done[min(number % 300 + later, 299)] for later in (0, 40, 90))
        facts = {"operation": began, "date": began.date, "kind": "begun", "to_lot": lot}
        moved.append(Movement(batch=batch, quantity=60, **facts))
        for loss in (lost, gone):
            facts = {"operation": loss, "date": loss.date, "kind": "lost", "from_lot": lot}
            moved.append(Movement(cause=cause, quantity=5, **facts))
        for stand, place in ((began, number), (lost, number + 1)):
            where = places[place % PLACES]
            stood.append(Placement(operation=stand, date=stand.date, lot=lot, place=where))
    moved = Movement.objects.bulk_create(moved, batch_size=500)
    Carried.objects.bulk_create([Carried(movement=row) for row in moved], batch_size=500)
    Placement.objects.bulk_create(stood, batch_size=500)


def operations_of(days) -> list[Operation]:
    """Write an operation for each day."""
    return Operation.objects.bulk_create(
        [Operation(request_id=uuid4(), kind="move", date=day) for day in days]
    )


def test_one_bill_over_10_000_lots_and_a_year(lots_of_a_year):
    fetched = [timed(lambda: fetch_all(lots_of_a_year)) for _ in range(TIMES)]
    with opened(lots_of_a_year):
        asked = Asked("heat", Decimal("12345.67"), FIRST, LAST, unused="expense")
        sharing = share_out(asked)
        shared = [timed(lambda: share_out(asked)) for _ in range(TIMES)]
        one = Asked("heat", Decimal("12345.67"), FIRST, LAST, Place.objects.first())
        of_one_place = [timed(lambda: share_out(one)) for _ in range(TIMES)]

    assert len(sharing.most_plants) == LOTS
    shares = sum(part.amount for part in sharing.parts)
    assert shares + sharing.unused_amount == 12_345_670_000
    note(f"one bill over {LOTS:,} lots and a year, shared", least(shared))
    note("  of one of eight houses", least(of_one_place))
    note("  bare fetchall of the same rows (HELD, CHANGES, STANDING)", least(fetched))
    note("  ratio", least(shared) / least(fetched), "3 or less")


def fetch_all(place) -> None:
    """Read the rows that are shared by, once, by the same statements."""
    with bare(place) as link:
        for statement, days in ((HELD, [FIRST]), (CHANGES, [FIRST]), (STANDING, [LAST, FIRST])):
            link.ask(statement, [day.isoformat() for day in days])
