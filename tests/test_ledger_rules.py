"""The database itself keeps the ledger's rules, whoever writes to it."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.apps import apps
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.db.models import UniqueConstraint
from django.utils import timezone

from inventory import operations
from inventory.models import (
    Batch,
    Bill,
    Closing,
    Container,
    CostEntry,
    ExpectedLoss,
    Lot,
    LotBalance,
    Movement,
    Nursery,
    Operation,
    PaidAhead,
    Place,
)
from inventory.operations.closing import close_period
from sales import operations as sales_operations
from sales.models import (
    AccountName,
    Buyer,
    Document,
    DocumentLine,
    Payment,
)
from tests.all_rules import RULES
from tests.conftest import ledger_tables
from tests.factories import (
    DAY,
    PlaceFactory,
    PlantFactory,
    cause,
    container,
    lot_holding,
    sell_from,
)
from tests.hold_rules import hold_and_hand_over
from tests.method_rules import done
from tests.size_rules import measured
from tests.stand_rules import a_day_at_the_stand
from tests.supply_rules import use_up
from tests.watch_rules import deed

pytestmark = pytest.mark.django_db

TABLES = [
    "inventory_operation",
    "inventory_movement",
    "inventory_costentry",
    "inventory_placement",
    "inventory_count",
    "inventory_measurement",
    "inventory_bill",
    "inventory_billshare",
    "inventory_paidahead",
    "inventory_closing",
    "inventory_supplyentry",
    "inventory_workentry",
    "inventory_stepdone",
    "sales_document",
    "sales_documentline",
    "sales_documenttax",
    "sales_take",
    "sales_payment",
    "sales_holdchange",
    "sales_holdnumber",
    "sales_foundatsale",
    "sales_handedover",
    "sales_holddeposit",
    "sales_standstep",
    "sales_standplants",
    "sales_standsale",
    "sales_standcount",
    "sales_boxentry",
    "nursery_deed",
]


@pytest.fixture
def ledger():
    """A ledger with a row in each of its tables."""
    lot = lot_holding(20, medium="8.00")
    operations.move(lot=lot, place=PlaceFactory(), on=DAY, request_id=uuid4())
    operations.count(lot=lot, found=19, on=DAY, request_id=uuid4())
    sell_from(lot, 2, paid_by="cash")
    sell_without_signal(lot_holding(1, "L2"), 3)
    one_day = {"first_day": DAY, "last_day": DAY, "amount": Decimal(3)}
    operations.enter_bill(category="heat", request_id=uuid4(), **one_day)
    shared(PaidAhead)
    use_up(lot)
    done(lot)
    measured(lot, (457, 610, 4, "L1-B"))
    hold_and_hand_over(lot)
    a_day_at_the_stand(lot)
    deed()
    close_period(last_day=DAY - timedelta(days=100), request_id=uuid4())
    return lot


def sell_without_signal(lot, quantity):
    item = sales_operations.Item(lot.plant, lot.container, quantity, unit_price=Decimal(5))
    sale = sales_operations.SentSale(uuid4(), (item,), ("",), made_at=timezone.now())
    sales_operations.book_sent(sale=sale)


def run(statement: str, *values) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement, values)


def test_the_list_of_ledger_tables_is_whole():
    assert sorted(TABLES) == sorted(ledger_tables())


@pytest.mark.parametrize("table", TABLES)
def test_a_ledger_row_cannot_be_changed_in_sql(ledger, table):
    with pytest.raises(DatabaseError, match="only grows"):
        run(f"UPDATE {table} SET id = id")


@pytest.mark.parametrize("table", TABLES)
def test_a_ledger_row_cannot_be_deleted_in_sql(ledger, table):
    with pytest.raises(DatabaseError, match="only grows"):
        run(f"DELETE FROM {table}")


@pytest.mark.postgresql
@pytest.mark.parametrize("table", TABLES)
def test_a_ledger_table_cannot_be_emptied_in_sql(ledger, table):
    # What waits for the end of the transaction would refuse it first.
    run("SET CONSTRAINTS ALL IMMEDIATE")
    with pytest.raises(DatabaseError, match=r"only grows|foreign key"):
        run(f"TRUNCATE {table}")
    with pytest.raises(DatabaseError, match="only grows"):
        run(f"TRUNCATE {table} CASCADE")


@pytest.mark.sqlite
@pytest.mark.parametrize("table", TABLES)
def test_a_ledger_row_cannot_be_replaced_in_sql(ledger, table):
    with pytest.raises(DatabaseError, match="only grows"):
        run(f"REPLACE INTO {table} SELECT * FROM {table}")


@pytest.mark.parametrize("table", TABLES)
def test_rows_of_the_ledger_refuse_save_and_delete(ledger, table):
    model = next(m for m in apps.get_models() if m._meta.db_table == table)
    row = model.objects.first()

    with pytest.raises(TypeError, match="never changed"):
        row.save()
    with pytest.raises(TypeError, match="never deleted"):
        row.delete()


def operation(**more) -> Operation:
    facts = {"kind": "cost", "date": DAY, "request_id": uuid4()}
    return Operation.objects.create(**facts | more)


def movement(lot, **more) -> Movement:
    facts = {"operation": operation(), "date": DAY, "kind": "used", "from_lot": lot}
    return Movement.objects.create(**facts | {"quantity": 1} | more)


def document(**more) -> Document:
    facts = {"number": "X-1", "kind": "sale", "date": DAY, "net": Decimal(1), "tax": Decimal(0)}
    return Document.objects.create(**facts | more)


def line(lot, **more) -> DocumentLine:
    facts = {"document": document(), "plant": lot.plant, "container": lot.container}
    facts |= {"quantity": 1, "unit_price": Decimal(1), "net": Decimal(1), "tax_category": "O"}
    return DocumentLine.objects.create(**facts | more)


def payment(**more) -> Payment:
    facts = {"date": DAY, "method": "cash", "amount": Decimal(1), "request_id": uuid4()}
    return Payment.objects.create(**facts | more)


def shared(model, **more):
    facts = {"category": "heat", "amount": Decimal(1), "first_day": DAY, "last_day": DAY}
    return model.objects.create(request_id=uuid4(), **facts | more)


def twice(make):
    make()
    make()


REFUSED = {
    **RULES,
    "inventory_operation_undo_names_what_it_reverses": lambda lot: operation(kind="undo"),
    "inventory_movement_quantity_is_positive": lambda lot: movement(lot, quantity=0),
    "inventory_movement_between_lots_only_when_moved": lambda lot: movement(lot, kind="moved"),
    "inventory_movement_leaves_its_lot": lambda lot: movement(lot, kind="moved", to_lot=lot),
    "inventory_movement_begun_names_its_batch": lambda lot: movement(
        lot, kind="begun", from_lot=None, to_lot=lot
    ),
    "inventory_movement_lost_names_its_cause": lambda lot: movement(lot, kind="lost"),
    "inventory_movement_returned_names_its_sale": lambda lot: movement(
        lot, kind="returned", from_lot=None, to_lot=lot
    ),
    "inventory_costentry_category_is_known": lambda lot: CostEntry.objects.create(
        operation=operation(), date=DAY, lot=lot, category="gold", amount=Decimal(1)
    ),
    **{
        f"inventory_{model.__name__.lower()}_{rule}": lambda lot, model=model, wrong=wrong: shared(
            model, **wrong
        )
        for model in (Bill, PaidAhead)
        for rule, wrong in (
            ("category_is_known", {"category": "gold"}),
            ("days_are_in_order", {"last_day": DAY - timedelta(1)}),
        )
    },
    "inventory_paidahead_is_more_than_nothing": lambda lot: shared(PaidAhead, amount=0),
    "inventory_lotbalance_on_hand_is_not_negative": lambda lot: LotBalance.objects.filter(
        pk=lot.pk
    ).update(on_hand=-1),
    "inventory_batch_kind_is_known": lambda lot: Batch.objects.create(
        code="X", plant=lot.plant, kind="cloned", started_on=DAY
    ),
    "inventory_lot_is_transplanted_after_it_began": lambda lot: Lot.objects.filter(
        pk=lot.pk
    ).update(transplanted_on=DAY - timedelta(1)),
    "inventory_plant_habit_is_known": lambda lot: PlantFactory(habit="climber"),
    "inventory_container_kind_is_known": lambda lot: Container.objects.create(
        code="X", name="X", kind="vase"
    ),
    "inventory_container_range_is_ordered": lambda lot: Container.objects.create(
        code="X", name="X", kind="sale", cubic_inches_min=9, cubic_inches_max=8
    ),
    "inventory_place_area_is_positive": lambda lot: Place.objects.create(name="X", area_m2=0),
    "inventory_expectedloss_once_per_plant": lambda lot: twice(
        lambda: ExpectedLoss.objects.create(plant=lot.plant, stage="liner", percent=3)
    ),
    "inventory_expectedloss_once_for_all": lambda lot: twice(
        lambda: ExpectedLoss.objects.create(stage="liner", percent=3)
    ),
    "inventory_expectedloss_is_a_percentage": lambda lot: ExpectedLoss.objects.create(
        stage="liner", percent=Decimal("100.01")
    ),
    "inventory_nursery_is_one_row": lambda lot: Nursery.objects.bulk_create(
        [Nursery(pk=2, name="Another")]
    ),
    "inventory_nursery_season_months_exist": lambda lot: Nursery.objects.create(
        name="N", season_end_month=13
    ),
    "inventory_nursery_cash_step_is_not_negative": lambda lot: Nursery.objects.create(
        name="N", cash_step=Decimal(-1)
    ),
    "inventory_closing_of_a_period_has_its_last_day": lambda lot: Closing.objects.create(
        kind="close", request_id=uuid4()
    ),
    "inventory_closing_reopened_gives_a_reason": lambda lot: Closing.objects.create(
        kind="reopen", request_id=uuid4()
    ),
    "sales_accountname_has_code_and_name": lambda lot: AccountName.objects.create(
        key="cash", code="100", name=""
    ),
    "sales_buyer_country_has_two_letters": lambda lot: Buyer.objects.create(
        name="Fallow", country="X"
    ),
    "inventory_nursery_country_has_two_letters": lambda lot: Nursery(
        name="Quiet", country="U"
    ).save(),
    "inventory_nursery_passport_names_its_country": lambda lot: Nursery(
        name="Quiet", passport_registration="12-3456"
    ).save(),
    "sales_buyer_discount_is_a_percentage": lambda lot: Buyer.objects.create(
        name="B", discount_percent=100
    ),
    "sales_buyer_is_same_as_another": lambda lot: Buyer.objects.create(
        id=77, name="B", same_as_id=77
    ),
    "sales_document_serial_is_used_once": lambda lot: [
        document(number=number, series="2025", serial=1) for number in ("A", "B")
    ],
    "sales_document_credit_names_what_it_corrects": lambda lot: document(kind="credit"),
    "sales_document_amounts_are_not_negative": lambda lot: document(net=Decimal(-1)),
    "sales_document_discount_has_its_last_day": lambda lot: document(discount_percent=2),
    "sales_documentline_quantity_is_positive": lambda lot: line(lot, quantity=0),
    "sales_documentline_price_is_not_negative": lambda lot: line(lot, unit_price=Decimal(-1)),
    "sales_payment_is_not_nothing": lambda lot: payment(document=document(), amount=Decimal(0)),
    "sales_payment_stands_in_one_place": lambda lot: payment(),
    "sales_payment_method_is_known": lambda lot: payment(
        buyer=Buyer.objects.create(name="B"), method="discount"
    ),
    "sales_payment_let_go_says_why": lambda lot: payment(document=document(), method="allowance"),
    # What names itself needs its number beforehand.
    "sales_payment_reversal_is_of_another": lambda lot: payment(
        id=77, reverses_id=77, document=document()
    ),
    "sales_payment_part_is_of_another": lambda lot: payment(
        id=77, part_of_id=77, document=document()
    ),
    "sales_documentline_net_is_not_negative": lambda lot: line(lot, net=Decimal(-1)),
}


@pytest.mark.parametrize("name", REFUSED)
def test_the_database_refuses_what_breaks_a_rule(name):
    lot = lot_holding(20)

    with pytest.raises(IntegrityError) as refusal, transaction.atomic():
        REFUSED[name](lot)

    # SQLite names the columns of a unique rule, and no more.
    if connection.vendor == "postgresql" or "CHECK" in str(refusal.value):
        assert name in str(refusal.value)


def test_every_named_rule_is_tried_above():
    houses = ("inventory", "nursery", "sales")
    ours = [model for model in apps.get_models() if model._meta.app_label in houses]
    named = {rule.name for model in ours for rule in model._meta.constraints}

    assert named == set(REFUSED)
    assert any(
        isinstance(rule, UniqueConstraint) for model in ours for rule in model._meta.constraints
    )


UNIQUE = {
    "a request": lambda: twice(lambda: operation(request_id=ONE_REQUEST)),
    "a lot code": lambda: twice(lambda: bare_lot("X")),
    "a place name": lambda: twice(lambda: Place.objects.create(name="X")),
    "a document number": lambda: twice(document),
    "a closing's request": lambda: twice(
        lambda: Closing.objects.create(kind="close", closed_to=DAY, request_id=ONE_REQUEST)
    ),
    "an account's name": lambda: twice(
        lambda: AccountName.objects.create(key="cash", code="100", name="Till")
    ),
}
ONE_REQUEST = uuid4()


def bare_lot(code):
    return Lot.objects.create(
        code=code, plant=PlantFactory(), container=container("#1"), began_on=date(2025, 1, 1)
    )


@pytest.mark.parametrize("what", UNIQUE)
def test_the_database_takes_it_once(what):
    with pytest.raises(IntegrityError), transaction.atomic():
        UNIQUE[what]()


def test_an_operation_is_reversed_once():
    lot = lot_holding(5)
    first = Operation.objects.get()
    operation(kind="undo", reverses=first)

    with pytest.raises(IntegrityError), transaction.atomic():
        operation(kind="undo", reverses=first)
    assert lot.movements_in.count() == 1


def test_a_movement_is_on_one_line_of_one_document():
    lot = lot_holding(5)
    sold = sell_from(lot, 2).lines.get()

    with pytest.raises(IntegrityError), transaction.atomic():
        sold.takes.create(movement=sold.takes.get().movement)


def test_what_the_ledger_names_cannot_be_deleted(ledger):
    for row in (ledger, ledger.plant, ledger.container, cause("count"), Batch.objects.first()):
        with pytest.raises(IntegrityError), transaction.atomic():
            row.delete()


def test_a_payment_reversal_is_written_and_names_its_payment(ledger):
    paid = Payment.objects.get()
    back = sales_operations.undo_payment(payment=paid, request_id=uuid4())

    assert (back.amount, back.reverses) == (-paid.amount, paid)
