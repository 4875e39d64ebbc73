"""Every verb writes once, however often its button is pressed, and is undone to the letter."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory import operations
from inventory.errors import AlreadyUndone, CannotUndo, LedgerError, LotMismatch, NotEnoughPlants
from inventory.models import Batch, CostEntry, Lot, LotBalance, Movement, Operation
from sales import operations as sales_operations
from sales.errors import SaleRefused
from sales.models import Document, Payment, Price
from tests.factories import (
    DAY,
    PlaceFactory,
    PlantFactory,
    UserFactory,
    cause,
    container,
    lot_holding,
    sell_from,
)
from tests.ledger_figures import all_reports, assert_the_books_are_right, kept, undo, written

pytestmark = pytest.mark.django_db
LATER = DAY + timedelta(7)


@pytest.fixture
def scene():
    """Two lots alike in pots, one in a tray, and a sale."""
    plant = PlantFactory()
    lot = lot_holding(40, "L1", plant=plant, medium="80.00")
    other = lot_holding(25, "L2", plant=plant, plants="20.00")
    tray = lot_holding(60, "T1", size="tray", plant=plant, cuttings="30.00")
    return {"lot": lot, "other": other, "tray": tray, "sale": sell_from(lot, 4), "plant": plant}


def loss_of(lot, quantity=3):
    return operations.Loss(lot, quantity, cause("winter"), "abnormal")


VERBS = {
    "begin": lambda s, **when: operations.begin(
        kind="sow",
        batch="B9",
        lot="L9",
        plant=s["plant"],
        container=container("tray"),
        quantity=50,
        place=PlaceFactory(),
        costs={"other": Decimal("4.00")},
        **when,
    ),
    "add_cost": lambda s, **when: operations.add_cost(
        lot=s["lot"], costs={"feed": Decimal("2.00")}, **when
    ),
    "root_count": lambda s, **when: operations.root_count(lot=s["tray"], alive=44, **when),
    "write_off": lambda s, **when: operations.write_off(
        losses=[loss_of(s["lot"]), loss_of(s["other"])], **when
    ),
    "pot_up": lambda s, **when: operations.pot_up(
        lot=s["tray"],
        quantity=30,
        to_lot="L2",
        container=container("#1"),
        lost=2,
        costs={"containers": Decimal("9.00")},
        **when,
    ),
    "count": lambda s, **when: operations.count(lot=s["lot"], found=39, **when),
    "move": lambda s, **when: operations.move(lot=s["lot"], place=PlaceFactory(), **when),
    "move a part": lambda s, **when: operations.move(
        lot=s["lot"], place=PlaceFactory(), quantity=6, to_lot="L8", **when
    ),
    "blend": lambda s, **when: operations.blend(lot=s["other"], to_lot=s["lot"], **when),
    "use": lambda s, **when: operations.take_out(kind="use", lot=s["lot"], quantity=2, **when),
    "give": lambda s, **when: operations.take_out(kind="give", lot=s["lot"], quantity=2, **when),
    "sell": lambda s, **when: sales_operations.sell(
        items=[sales_operations.Item(s["plant"], container("#1"), 45, unit_price=Decimal("5.00"))],
        paid_by="card",
        **when,
    ),
    "restock": lambda s, **when: sales_operations.take_back(
        document=s["sale"], plants=[(s["lot"], 2)], restock=True, **when
    ),
    "discard": lambda s, **when: sales_operations.take_back(
        document=s["sale"], plants=[(s["lot"], 2)], restock=False, **when
    ),
    "pay": lambda s, **when: sales_operations.pay(
        document=s["sale"], amount=Decimal("10.00"), method="cash", **when
    ),
    "set_prices": lambda s, **when: sales_operations.set_prices(
        prices=[sales_operations.NewPrice(s["plant"], container("#1"), Decimal("12.00"))], **when
    ),
}
NO_PLANTS = ("pay", "set_prices")


def everything() -> tuple:
    return written(), kept(), all_reports(), Payment.objects.count(), Price.objects.count()


@pytest.mark.parametrize("verb", VERBS)
def test_pressed_twice_it_writes_once_and_answers_the_same(scene, verb):
    request = uuid4()
    first = VERBS[verb](scene, on=LATER, request_id=request)
    before = everything()

    second = VERBS[verb](scene, on=LATER, request_id=request)

    assert second == first
    assert everything() == before
    assert_the_books_are_right()


@pytest.mark.parametrize("verb", [verb for verb in VERBS if verb not in NO_PLANTS])
def test_undone_it_leaves_every_figure_as_it_was(scene, verb):
    Lot.objects.filter(code="L1").update(note="stands by the door")
    before = figures()

    result = VERBS[verb](scene, on=LATER, request_id=uuid4())
    assert figures() != before
    if isinstance(result, Document):
        sales_operations.undo_sale(document=result, request_id=uuid4())
    else:
        undo(result)

    assert figures() == before
    assert_the_books_are_right()


def figures() -> tuple[dict, list]:
    """Reports and balances, without the empty lots and batches that an undoing leaves."""
    reports = all_reports()
    reports["lots"] = [row for row in reports["lots"] if row["lot"] not in ("L8", "L9")]
    named = {name: rows for name, rows in reports.items() if not name.endswith(("L8", "L9", "B9"))}
    balances = [
        (code, on_hand, place, *costs)
        for code, on_hand, place, _, *costs in kept()["balances"]
        if code not in ("L8", "L9")
    ]
    return named, balances


@pytest.mark.parametrize("act", [undo, lambda operation: operation], ids=["undone", "standing"])
def test_undoing_twice_by_one_request_writes_once(scene, act):
    operation = VERBS["use"](scene, on=LATER, request_id=uuid4())
    request = uuid4()
    first = operations.reverse(operation=operation, request_id=request)

    assert operations.reverse(operation=operation, request_id=request) == first
    assert Operation.objects.filter(reverses=operation).count() == 1


def test_a_request_is_once_for_whatever_it_asked(scene):
    request = uuid4()
    used = VERBS["use"](scene, on=LATER, request_id=request)

    assert VERBS["add_cost"](scene, on=LATER, request_id=request) == used
    assert not CostEntry.objects.filter(category="feed").exists()


def test_an_operation_says_who_entered_it(scene):
    user = UserFactory()
    operation = VERBS["use"](scene, on=LATER, request_id=uuid4(), by=user)

    assert operation.entered_by == user


def test_an_undoing_names_what_it_reverses_and_mirrors_it(scene):
    operation = VERBS["pot_up"](scene, on=LATER, request_id=uuid4())
    reversal = undo(operation)

    assert (reversal.kind, reversal.reverses, reversal.date) == ("undo", operation, LATER)
    pairs = zip(operation.movements.order_by("pk"), reversal.movements.order_by("pk"), strict=True)
    for done, undone in pairs:
        assert (done.from_lot, done.to_lot) == (undone.to_lot, undone.from_lot)
        assert (done.quantity, done.kind) == (undone.quantity, undone.kind)
    amounts = [entry.amount for op in (operation, reversal) for entry in op.costs.all()]
    assert sum(amounts) == 0


def test_it_is_undone_only_once(scene):
    operation = VERBS["use"](scene, on=LATER, request_id=uuid4())
    reversal = undo(operation)

    with pytest.raises(AlreadyUndone, match="undone already"):
        undo(operation)
    with pytest.raises(CannotUndo, match="enter what happened again"):
        undo(reversal)


def test_a_sale_is_not_undone_while_its_plants_are_back(scene):
    VERBS["restock"](scene, on=LATER, request_id=uuid4())

    with pytest.raises(CannotUndo, match="Undo the return first"):
        sales_operations.undo_sale(document=scene["sale"], request_id=uuid4())
    assert_the_books_are_right()


def test_an_undone_sale_gives_its_money_back_and_keeps_its_number(scene):
    document = VERBS["sell"](scene, on=LATER, request_id=uuid4())
    request = uuid4()
    sales_operations.undo_sale(document=document, request_id=request)
    rows = written()
    sales_operations.undo_sale(document=document, request_id=request)

    assert written() == rows
    assert sum(payment.amount for payment in document.payments.all()) == 0
    following = sell_from(scene["lot"], 1, on=LATER)
    assert following.serial == document.serial + 1


def test_a_code_whose_entry_was_undone_may_be_used_anew(scene):
    undo(VERBS["begin"](scene, on=LATER, request_id=uuid4()))
    other = PlantFactory(name="Spiraea japonica 'Bench Two'")

    lot_holding(5, "L9", plant=other, batch="B9")

    assert Lot.objects.get(code="L9").plant == other
    assert Batch.objects.get(code="B9").plant == other
    assert_the_books_are_right()


REFUSED = {
    "no plants begun": lambda s: lot_holding(0, "L9"),
    "more than it holds": lambda s: operations.take_out(
        kind="use", lot=s["lot"], quantity=37, on=DAY, request_id=uuid4()
    ),
    "none at all": lambda s: operations.take_out(
        kind="use", lot=s["lot"], quantity=0, on=DAY, request_id=uuid4()
    ),
    "a negative loss": lambda s: operations.write_off(
        losses=[loss_of(s["lot"], -1)], on=DAY, request_id=uuid4()
    ),
    "an empty sheet": lambda s: operations.write_off(losses=[], on=DAY, request_id=uuid4()),
    "a cost of nothing": lambda s: operations.add_cost(
        lot=s["lot"], costs={"feed": Decimal(0)}, on=DAY, request_id=uuid4()
    ),
    "more alive than stood": lambda s: operations.root_count(
        lot=s["tray"], alive=61, on=DAY, request_id=uuid4()
    ),
    "blending unlike plants": lambda s: operations.blend(
        lot=s["tray"], to_lot=s["lot"], on=DAY, request_id=uuid4()
    ),
    "potting up into another plant's lot": lambda s: operations.pot_up(
        lot=lot_holding(3, "X", size="tray"),
        quantity=1,
        to_lot="L1",
        container=container("#1"),
        on=DAY,
        request_id=uuid4(),
    ),
    "a part without a name": lambda s: operations.move(
        lot=s["lot"], quantity=3, place=PlaceFactory(), on=DAY, request_id=uuid4()
    ),
    "a sale of nothing": lambda s: sales_operations.sell(items=[], on=DAY, request_id=uuid4()),
    "a sale without a price": lambda s: sales_operations.sell(
        items=[sales_operations.Item(s["plant"], container("#1"), 1)], on=DAY, request_id=uuid4()
    ),
    "a sale beyond what is free": lambda s: VERBS["sell"](
        s, on=DAY - timedelta(1), request_id=uuid4()
    ),
    "more back than sold": lambda s: sales_operations.take_back(
        document=s["sale"], plants=[(s["lot"], 5)], restock=True, on=DAY, request_id=uuid4()
    ),
    "back before it was sold": lambda s: sales_operations.take_back(
        document=s["sale"],
        plants=[(s["lot"], 1)],
        restock=True,
        on=DAY - timedelta(1),
        request_id=uuid4(),
    ),
    "more money than is owed": lambda s: sales_operations.pay(
        document=s["sale"], amount=Decimal("40.01"), method="cash", on=DAY, request_id=uuid4()
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_refusal_is_in_words_and_writes_nothing(scene, name):
    lots, movements, documents = Lot.objects.count(), Movement.objects.count(), written()

    with pytest.raises(LedgerError) as refusal:
        REFUSED[name](scene)

    assert str(refusal.value).endswith((".", "?"))
    if "potting" not in name:
        assert (Lot.objects.count(), Movement.objects.count(), written()) == (
            lots,
            movements,
            documents,
        )
    assert_the_books_are_right()


def test_refusals_are_of_the_kind_a_caller_can_tell():
    assert issubclass(SaleRefused, LedgerError)
    assert issubclass(NotEnoughPlants, LedgerError)
    assert issubclass(LotMismatch, LedgerError)
    assert LotBalance.objects.count() == 0
