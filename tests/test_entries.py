"""What was entered, in the grower's words, with Undo."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory import operations
from inventory.models import Lot, Operation
from inventory.operations import Loss
from inventory.queries.entries import describe, entries_of, latest_entries
from sales import operations as sales_operations
from tests.entering import as_grower
from tests.factories import (
    DAY,
    BuyerFactory,
    NurseryFactory,
    PlaceFactory,
    PlantFactory,
    cause,
    container,
    lot_holding,
    sell_from,
)
from tests.growing_scenes import undo

pytestmark = pytest.mark.django_db
YEW = "Taxus ×media 'Hicksii'"


@pytest.fixture
def lot():
    return lot_holding(50, "A", plant=PlantFactory(name=YEW), medium="50.00")


def do(verb, **what):
    return describe(verb(on=DAY, request_id=uuid4(), **what))


def test_each_beginning_is_told():
    for number, kind in enumerate(("stick", "sow", "divide", "receive", "opening")):
        lot_holding(9, f"L{number}", kind=kind, plant=PlantFactory(name=f"Buxus 'B{number}'"))

    said = [describe(operation) for operation in Operation.objects.order_by("pk")]

    assert said == [
        "Stuck 9 cuttings of Buxus 'B0', batch B-L0, lot L0",
        "Sowed 9 seeds of Buxus 'B1', batch B-L1, lot L1",
        "Divided, which gave 9 plants of Buxus 'B2', batch B-L2, lot L2",
        "Received 9 plants of Buxus 'B3', batch B-L3, lot L3",
        "Entered 9 plants of Buxus 'B4' as opening stock, batch B-L4, lot L4",
    ]


def test_what_happens_to_a_lot_is_told(lot):
    bed = PlaceFactory(name="North bed")
    other = lot_holding(5, "Z", plant=lot.plant)

    assert do(operations.add_cost, lot=lot, costs={"labour": Decimal("4.50")}) == (
        "Added $4.50 for labour to lot A"
    )
    assert do(operations.move, lot=lot, place=bed) == "Moved lot A to North bed"
    assert do(operations.move, lot=lot, place=bed, quantity=5, to_lot="B") == (
        "Moved 5 from lot A to North bed as lot B"
    )
    assert do(operations.count, lot=lot, found=47) == (
        "Counted 47 in lot A, 2 more than on the books"
    )
    assert do(operations.count, lot=lot, found=46) == (
        "Counted 46 in lot A, 1 fewer than on the books"
    )
    assert do(operations.blend, lot=other, to_lot=lot) == "Blended all 5 of lot Z into lot A"
    assert do(operations.take_out, kind="use", lot=lot, quantity=1) == f"Used 1 {YEW} of lot A"
    assert do(operations.take_out, kind="give", lot=lot, quantity=2) == (
        f"Gave away 2 {YEW} of lot A"
    )


def test_potting_up_with_losses_on_the_way_is_told(lot):
    said = do(
        operations.pot_up, lot=lot, quantity=40, to_lot="P", container=container("#3"), lost=2
    )

    assert said == "Potted up 40 from lot A into #3, lot P; 2 lost on the way"


def test_rooted_counts_are_told():
    tray = lot_holding(50, "T", size="tray")

    assert do(operations.root_count, lot=tray, alive=41) == "Counted 41 rooted in lot T, 9 not"
    assert do(operations.root_count, lot=tray, alive=41) == (
        "Counted 41 rooted in lot T, all of them"
    )


def test_a_sheet_of_losses_is_told_by_cause(lot):
    other = lot_holding(9, "Q")
    losses = [Loss(lot, 4, cause("pest")), Loss(other, 6, cause("winter"))]

    assert do(operations.write_off, losses=losses) == (
        "Wrote off 10 in 2 lots: 6 lost to winter, 4 lost to pests"
    )
    assert do(operations.write_off, losses=[Loss(lot, 1, cause("winter"))]) == (
        "Wrote off 1 of lot A, lost to winter"
    )


def test_a_sale_and_its_return_name_buyer_and_document(lot):
    document = sell_from(lot, 12, buyer=BuyerFactory(name="Orchard Street Gardens"))
    sales_operations.take_back(
        document=document, plants=[(lot, 2)], on=DAY, restock=False, request_id=uuid4()
    )

    back, sold = (entry.text for entry in latest_entries(2))

    assert sold == f"Sold 12 {YEW} of lot A to Orchard Street Gardens, {document.number}"
    assert back.startswith("2 sold plants came back to lot A and were thrown away, ")


def test_an_undoing_says_what_it_undid(lot):
    reversal = undo(Operation.objects.get())

    assert describe(reversal).startswith("Undid: stuck 50 cuttings of Taxus")


def test_entries_lead_to_their_undo(lot):
    document = sell_from(lot, 3)

    sale, stuck = latest_entries()

    assert sale.undo_url == reverse("sales:undo-sale", args=[document.pk])
    assert sale.url == reverse("sales:document", args=[document.pk])
    assert stuck.undo_url == reverse("inventory:undo", args=[stuck.operation.pk])
    assert stuck.url == reverse("inventory:lot", args=[lot.pk])


def test_what_was_undone_offers_no_undo(lot):
    undo(Operation.objects.get())

    (entry,) = latest_entries()

    assert entry.is_undone
    assert not entry.can_undo


def test_the_caller_may_say_where_an_entry_is_undone(lot):
    operation = Operation.objects.get()

    (entry,) = entries_of([operation], {operation.pk: "/elsewhere/"})

    assert entry.undo_url == "/elsewhere/"


def test_entries_take_as_many_queries_for_thirty_as_for_one(lot, django_assert_num_queries):
    with django_assert_num_queries(5):
        latest_entries()
    for days in range(29):
        operations.move(
            lot=lot,
            place=PlaceFactory(),
            on=DAY + timedelta(days=days),
            request_id=uuid4(),
        )

    with django_assert_num_queries(5):
        assert len(latest_entries(30)) == 30


def test_the_page_lists_entries_and_undo_takes_one_back(client, lot):
    NurseryFactory()
    as_grower(client)
    operation = Operation.objects.get()
    page, undo_url = reverse("inventory:entry-list"), reverse("inventory:undo", args=[operation.pk])

    assert f'action="{undo_url}"' in client.get(page).content.decode()
    client.post(undo_url, {"request_id": str(uuid4())})

    text = client.get(page).content.decode()
    assert "<s>Stuck 50 cuttings" in text
    assert "Undid: stuck 50 cuttings" in text
    assert not Lot.objects.get().balance.on_hand


def test_entries_are_narrowed_by_what_happened(client, lot):
    NurseryFactory()
    as_grower(client)
    sell_from(lot, 3)

    table = client.get(reverse("inventory:entry-list"), {"kind": "sale"}).context["table"]

    assert [row.record.kind for row in table.page.object_list] == ["sale"]
