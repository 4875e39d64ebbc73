"""A year is closed: nothing in it changes, until the owner opens it again with a reason."""

from datetime import date, timedelta
from decimal import Decimal
from io import StringIO
from uuid import uuid4

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.urls import reverse

from inventory import operations
from inventory.errors import LedgerError, PeriodClosed
from inventory.models import Closing, Movement, Supply
from inventory.operations.closing import close_period, reopen
from inventory.operations.rebuild import rebuild
from inventory.operations.supplies import buy, count_supply, undo_supply_entry
from inventory.queries.closed import closed_to
from nursery import append_only
from sales import operations as sales_operations
from sales.ledger_file.importing import import_ledger
from sales.ledger_file.rows import RowError
from tests.factories import DAY, NurseryFactory, UserFactory, cause, lot_holding, sell_from

pytestmark = pytest.mark.django_db

LAST = date(2025, 12, 31)
OPEN = "first open day is 2026-01-01"


@pytest.fixture
def owner():
    return UserFactory(username="owner", is_superuser=True)


@pytest.fixture
def lot():
    """Twenty plants for 40.00, four of them sold within the year."""
    NurseryFactory()
    lot = lot_holding(20, "WINTER-7", medium="40.00")
    sell_from(lot, 4)
    return lot


def close(last_day=LAST, **more):
    return close_period(last_day=last_day, **{"request_id": uuid4()} | more)


def lose(lot, on, quantity=2):
    losses = [operations.Loss(lot, quantity, cause("winter"), "abnormal")]
    return operations.write_off(losses=losses, on=on, request_id=uuid4())


def verify() -> str:
    out = StringIO()
    call_command("verify", stdout=out)
    return out.getvalue()


def test_closing_keeps_what_each_lot_held(lot):
    lose(lot, LAST + timedelta(days=1))

    row = close()

    assert closed_to() == LAST
    assert row.snapshot == [
        {
            "lot": "WINTER-7",
            "plant": lot.plant.name,
            "container": "#1",
            "on_hand": 16,
            "cost": {"medium": "32.000000"},
        }
    ]


def test_closing_twice_by_one_request_closes_once(lot):
    request_id = uuid4()

    first, again = (close(request_id=request_id) for _ in range(2))

    assert first == again
    assert Closing.objects.count() == 1


@pytest.mark.parametrize("days_earlier", [0, 1, 400])
def test_a_day_that_is_closed_is_not_closed_again(lot, days_earlier):
    close()

    with pytest.raises(LedgerError, match="closed up to 2025-12-31 already"):
        close(LAST - timedelta(days=days_earlier))

    assert Closing.objects.count() == 1


def test_a_day_to_come_cannot_be_closed(lot):
    with pytest.raises(LedgerError, match="has not come yet"):
        close(date.today() + timedelta(days=1))

    assert close(date.today()).closed_to == date.today()


def test_a_year_is_closed_a_loss_refused_reopened_entered_and_closed_again(lot, owner):
    close()
    with pytest.raises(PeriodClosed, match=OPEN) as refusal:
        lose(lot, LAST)
    assert refusal.value.first_open == date(2026, 1, 1)
    assert lot.balance.on_hand == 16

    reopen(to=None, reason="Winter losses were counted in March.", request_id=uuid4(), by=owner)
    lose(lot, LAST)
    row = close()

    assert row.snapshot[0]["on_hand"] == 14
    assert verify()
    with pytest.raises(PeriodClosed, match=OPEN):
        lose(lot, LAST)


def ways_with_plants(lot) -> list:
    """Return what would change plants or money of a closed day, not yet done."""
    document = sell_from(lot, 1, on=DAY)
    first = {"document": document, "method": "cash", "on": DAY}
    payment = sales_operations.pay(amount=Decimal(5), request_id=uuid4(), **first)
    sold = Movement.objects.filter(kind="sold").first().operation
    one, cost = {"request_id": uuid4()}, {"heat": Decimal(1)}
    more = {**first, "on": LAST, "amount": Decimal(1)}
    back = {"document": document, "plants": [(lot, 1)], "on": LAST, "restock": True}
    return [
        lambda: operations.move(lot=lot, place=None, on=LAST, **one),
        lambda: operations.add_cost(lot=lot, costs=cost, on=LAST, **one),
        lambda: operations.reverse(operation=sold, **one),
        lambda: sell_from(lot, 1, on=LAST),
        lambda: sales_operations.undo_sale(document=document, **one),
        lambda: sales_operations.pay(**more, **one),
        lambda: sales_operations.undo_payment(payment=payment, **one),
        lambda: sales_operations.take_back(**back, **one),
    ]


def ways_with_supplies_and_bills() -> list:
    """Return what would change supplies or bills of a closed day, not yet done."""
    supply, one = Supply.objects.create(name="Pots"), {"request_id": uuid4()}
    pots = {"supply": supply, "quantity": Decimal(4), "amount": Decimal(2)}
    entry = buy(on=DAY, request_id=uuid4(), **pots)
    heat = {"category": "heat", "amount": Decimal(9), "first_day": DAY, "request_id": uuid4()}
    bill = operations.enter_bill(last_day=DAY + timedelta(days=20), **heat)
    return [
        lambda: buy(on=LAST, **pots, **one),
        lambda: count_supply(supply=supply, found=Decimal(3), on=LAST, **one),
        lambda: undo_supply_entry(entry=entry, **one),
        lambda: operations.enter_bill(last_day=LAST, **heat | one),
        lambda: operations.enter_bill(last_day=date(2026, 2, 1), **heat | one),
        lambda: operations.undo_bill(bill=bill, **one),
    ]


def test_every_way_into_a_closed_day_is_refused(lot, tmp_path):
    late_ways = [*ways_with_plants(lot), *ways_with_supplies_and_bills()]
    close()
    file = tmp_path / "late.csv"
    file.write_text("date,event,lot,quantity,cause\n2025-11-01,loss,WINTER-7,1,winter\n")

    for late in (*late_ways, lambda: import_ledger(file)):
        with pytest.raises((LedgerError, RowError), match=OPEN):
            late()

    assert verify()


def test_what_comes_after_the_closed_days_goes_on(lot):
    close()
    first_open = LAST + timedelta(days=1)

    lose(lot, first_open)
    sell_from(lot, 3, on=first_open)

    assert verify()


def test_only_the_owner_opens_a_period_again_and_says_why(lot, owner):
    close()
    grower = UserFactory(is_staff=True)

    for by, reason, words in (
        (grower, "A loss is missing.", "Only the owner"),
        (None, "A loss is missing.", "Only the owner"),
        (owner, "  ", "Say why"),
    ):
        with pytest.raises(LedgerError, match=words):
            reopen(to=None, reason=reason, request_id=uuid4(), by=by)

    assert closed_to() == LAST


def test_reopening_leaves_closed_what_it_names_and_is_harmless_twice(lot, owner):
    close()
    facts = {"to": date(2025, 6, 30), "reason": "A bill is missing.", "request_id": uuid4()}

    first, again = (reopen(by=owner, **facts) for _ in range(2))

    assert first == again
    assert closed_to() == date(2025, 6, 30)
    with pytest.raises(PeriodClosed, match="2025-07-01"):
        lose(lot, date(2025, 6, 30))
    lose(lot, date(2025, 7, 1))
    assert verify(), "a closing whose days were opened again proves nothing"


@pytest.mark.parametrize("day", [LAST, LAST + timedelta(days=5)])
def test_reopening_opens_something(lot, owner, day):
    why = {"reason": "A bill is missing.", "by": owner}
    with pytest.raises(LedgerError, match="No period is closed"):
        reopen(to=None, request_id=uuid4(), **why)
    close()

    with pytest.raises(LedgerError, match="closed up to 2025-12-31"):
        reopen(to=day, request_id=uuid4(), **why)


def test_verify_names_what_changed_in_a_closed_period(lot):
    close()
    append_only.remove(["inventory_costentry"], connection)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE inventory_costentry SET amount = amount + 1000000")
    rebuild()

    with pytest.raises(CommandError, match="closed up to 2025-12-31 with lot WINTER-7 at 16"):
        verify()


def test_a_plant_may_get_a_better_name_after_a_year_is_closed(lot):
    close()
    plant = lot.plant
    plant.name = "Ilex crenata 'Helleri'"
    plant.save()

    assert verify()


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


def test_the_page_asks_for_a_login(client, lot):
    assert client.get(reverse("sales:closing")).status_code == 302
    assert client.post(reverse("sales:closing-close")).status_code == 302


def test_the_page_closes_opens_and_keeps_the_history(page, lot):
    assert "every day is open" in page.get(reverse("sales:closing")).content.decode()

    closed = {"last_day": LAST.isoformat(), "request_id": str(uuid4())}
    for _ in range(2):
        answer = page.post(reverse("sales:closing-close"), closed, follow=True)
    assert "31 December 2025" in answer.content.decode()
    assert Closing.objects.count() == 1

    opened = {"to": "", "reason": "Frost in March.", "request_id": str(uuid4())}
    text = page.post(reverse("sales:closing-reopen"), opened, follow=True).content.decode()
    assert closed_to() is None
    assert "By owner. Frost in March." in text
    assert "Closed up to 31 December 2025" in text


def test_a_refusal_keeps_what_was_typed(page, lot):
    close()

    typed = {"last_day": "2025-06-30", "request_id": str(uuid4())}
    answer = page.post(reverse("sales:closing-close"), typed)
    assert answer.status_code == 200
    assert "Choose a later day" in answer.content.decode()
    assert 'value="2025-06-30"' in answer.content.decode()

    answer = page.post(
        reverse("sales:closing-reopen"), {"to": "2025-03-01", "request_id": str(uuid4())}
    )
    assert "Say why the period is opened again" in answer.content.decode()
    assert 'value="2025-03-01"' in answer.content.decode()
    assert closed_to() == LAST


def test_who_is_not_the_owner_cannot_open_and_needs_leave_to_close(client, lot):
    close()
    client.force_login(UserFactory())

    text = client.get(reverse("sales:closing")).content.decode()
    assert "Only the owner of the ledger can open" in text
    assert reverse("sales:closing-reopen") not in text
    for name in ("closing-close", "closing-reopen"):
        assert client.post(reverse(f"sales:{name}"), {}).status_code == 403


def test_the_page_reads_no_snapshot(page, lot, django_assert_max_num_queries):
    for year in (2022, 2023, 2024, 2025):
        close(date(year, 12, 31))

    with django_assert_max_num_queries(12) as asked:
        page.get(reverse("sales:closing"))
    assert not any('"snapshot"' in query["sql"] for query in asked.captured_queries)


def test_a_loss_on_a_closed_day_is_refused_on_its_page(page, lot):
    close()
    typed = {"on": "2025-11-30", "found": "5", "note": "", "request_id": str(uuid4())}
    text = page.post(reverse("inventory:count", args=[lot.pk]), typed).content.decode()

    assert OPEN in text
    assert Movement.objects.filter(kind__startswith="lost").count() == 0
