"""Trace: shares through blends, losses and returns; a recall that names all it must, no more."""

from datetime import timedelta
from fractions import Fraction
from uuid import uuid4

import networkx
import pytest
from hypothesis import given, settings

from inventory import operations
from inventory.models import Batch, Lot, Movement
from sales import operations as sales_operations
from sales.models import Take
from sales.queries.trace import trace_batch, trace_document, trace_lot
from tests.factories import (
    DAY,
    BuyerFactory,
    PlantFactory,
    cause,
    container,
    lot_holding,
    sell_from,
)
from tests.ledger_figures import report, rolled_back, undo
from tests.random_ledgers import Player, scripts

pytestmark = pytest.mark.django_db


def day(number: int):
    return DAY + timedelta(number)


def blend(lot, to_lot, on, quantity=None):
    facts = {"lot": lot, "to_lot": to_lot, "quantity": quantity, "on": on}
    return operations.blend(**facts, request_id=uuid4())


def lose(lot, quantity, on):
    losses = [operations.Loss(lot, quantity, cause("winter"), "normal")]
    return operations.write_off(losses=losses, on=on, request_id=uuid4())


def take_back(document, lot, quantity, on, restock=True):
    facts = {"document": document, "plants": [(lot, quantity)], "on": on, "restock": restock}
    return sales_operations.take_back(**facts, request_id=uuid4())


def shares(rows) -> dict:
    return {row.batch: row.share for row in rows}


def documents(rows) -> dict:
    return {row.document: (row.quantity, row.share) for row in rows if row.document}


@pytest.fixture
def lots():
    """60 plants of batch B-A and 40 of batch B-B, alike."""
    plant = PlantFactory()
    return lot_holding(60, "A", plant=plant), lot_holding(40, "B", plant=plant)


def test_a_blend_keeps_the_shares_of_its_batches(lots):
    first, second = lots
    blend(second, first, day(1))
    document = sell_from(first, 10, on=day(2), buyer=BuyerFactory(name="Thorn Court"))

    rows = trace_document(document)

    assert shares(rows) == {"B-A": Fraction(3, 5), "B-B": Fraction(2, 5)}
    assert {(row.direction, row.lot, row.buyer, row.quantity) for row in rows} == {
        ("back", "A", "Thorn Court", 10)
    }


def test_a_loss_before_the_blend_counts_and_one_after_it_does_not(lots):
    first, second = lots
    lose(first, 20, day(1))
    blend(second, first, day(2))
    lose(first, 40, day(3))

    document = sell_from(first, 10, on=day(4))

    assert shares(trace_document(document)) == {"B-A": Fraction(1, 2), "B-B": Fraction(1, 2)}


def test_later_blends_do_not_change_what_was_sold_before(lots):
    first, second = lots
    document = sell_from(first, 10, on=day(1))
    before = trace_document(document)

    blend(second, first, day(2))

    assert trace_document(document) == before
    assert shares(before) == {"B-A": 1}


def test_a_backdated_blend_changes_what_was_sold_after_and_undoing_it_restores(lots):
    first, second = lots
    document = sell_from(first, 10, on=day(5))
    before = trace_document(document)

    joined = blend(second, first, day(2))

    assert shares(trace_document(document)) == {"B-A": Fraction(3, 5), "B-B": Fraction(2, 5)}
    undo(joined)
    assert trace_document(document) == before


def test_plants_come_back_with_the_shares_they_left_with(lots):
    first, second = lots
    document = sell_from(first, 30, on=day(1))
    blend(second, first, day(2))
    take_back(document, first, 30, day(3))

    # 30 of A and 40 of B stood; 30 of A came back.
    found = {row.batch: row.share for row in trace_lot(first) if row.direction == "back"}
    assert found == {"B-A": Fraction(60, 100), "B-B": Fraction(40, 100)}


def test_a_discarded_return_leaves_the_shares_of_its_lot_alone(lots):
    first, second = lots
    document = sell_from(first, 30, on=day(1))
    blend(second, first, day(2))
    take_back(document, first, 30, day(3), restock=False)

    later = sell_from(first, 7, on=day(4))

    assert shares(trace_document(later)) == {"B-A": Fraction(3, 7), "B-B": Fraction(4, 7)}


def test_a_recall_by_batch_names_every_document_it_touched(lots):
    first, second = lots
    alone = sell_from(second, 5, on=day(1))
    blend(second, first, day(2))
    mixed = sell_from(first, 19, on=day(3), buyer=BuyerFactory())
    before_all = sell_from(lot_holding(9, "C", plant=first.plant), 2, on=day(1))

    rows = trace_batch(Batch.objects.get(code="B-B"))

    assert documents(rows) == {
        alone.number: (5, Fraction(1)),
        mixed.number: (19, Fraction(35, 95)),
    }
    assert before_all.number not in documents(rows)
    (standing,) = [row for row in rows if not row.document]
    assert (standing.lot, standing.quantity, standing.share) == ("A", 76, Fraction(35, 95))


def test_plants_that_came_back_are_not_out_any_more(lots):
    first, _ = lots
    whole, part = sell_from(first, 6, on=day(1)), sell_from(first, 6, on=day(1))
    take_back(whole, first, 6, day(2))
    take_back(part, first, 2, day(2))

    found = documents(trace_batch(Batch.objects.get(code="B-A")))

    assert found == {part.number: (4, 1)}


def test_undone_sales_and_undone_blends_are_not_named(lots):
    first, second = lots
    sales_operations.undo_sale(document=sell_from(first, 6, on=day(1)), request_id=uuid4())
    undo(blend(second, first, day(2)))
    sold = sell_from(first, 3, on=day(3))

    assert documents(trace_batch(Batch.objects.get(code="B-A"))) == {sold.number: (3, 1)}
    assert documents(trace_batch(Batch.objects.get(code="B-B"))) == {}


def test_a_lot_is_traced_through_potting_up_both_ways():
    tray = lot_holding(30, "T", size="tray")
    facts = {"lot": tray, "to_lot": "P", "container": container("#1"), "quantity": 20}
    operations.pot_up(**facts, on=day(1), request_id=uuid4())
    sold = sell_from(Lot.objects.get(code="P"), 4, on=day(2))

    found = [
        (row["direction"], row["lot"], row["document"], row["quantity"], row["share"])
        for row in report("trace", lot="T")
    ]
    assert found == [
        ("back", "T", None, 10, "1.000000"),
        ("forward", "P", None, 16, "1.000000"),
        ("forward", "P", sold.number, 4, "1.000000"),
    ]
    assert [row["lot"] for row in report("trace", document=sold.number)] == ["P"]


def test_a_lot_that_was_joined_later_is_not_in_an_earlier_sales_recall(lots):
    """B joined A on the second day: the sale from A of the first day holds nothing of B."""
    first, second = lots
    early = sell_from(first, 5, on=day(1))
    blend(second, first, day(2))
    late = sell_from(first, 5, on=day(3))

    found = documents([row for row in trace_lot(second) if row.direction == "forward"])

    assert early.number not in found
    assert late.number in found


def plants_by_batch() -> tuple[dict, dict]:
    """Follow the batches plant by plant, in fractions: {lot: {batch: plants}} and sales."""
    lots: dict = {}
    sold: dict = {}
    movements = Movement.objects.filter(carried__isnull=False)
    for row in movements.order_by("date", "operation_id", "pk").select_related("of"):
        holding = lots.setdefault(row.from_lot_id, {})
        if row.kind == "begun":
            coming = {row.batch_id: Fraction(row.quantity)}
        elif row.kind == "found":
            coming = {
                key: n * row.quantity / sum(holding_of(lots, row))
                for key, n in lots.get(row.to_lot_id, {}).items()
            }
        elif row.of_id:
            source = sold[row.of_id]
            coming = {key: n * row.quantity / row.of.quantity for key, n in source.items()}
        else:
            whole = sum(holding.values())
            coming = {key: n * row.quantity / whole for key, n in holding.items()}
        for key, n in coming.items():
            if row.from_lot_id:
                holding[key] -= n
            if row.to_lot_id:
                target = lots.setdefault(row.to_lot_id, {})
                target[key] = target.get(key, 0) + n
        sold[row.pk] = coming
    return lots, sold


def holding_of(lots, row):
    return lots.get(row.to_lot_id, {}).values()


@settings(max_examples=25, deadline=None)
@given(scripts())
def test_shares_are_those_of_following_every_plant(script):
    """Oracle: fractions of a plant, followed movement by movement. Plants found by a count are
    taken for the lot's own, so they leave its shares as they were."""
    with rolled_back():
        Player().play(script)
        codes = dict(Batch.objects.values_list("pk", "code"))
        _, moved = plants_by_batch()

        for take in Take.objects.filter(movement__kind="sold").select_related("line__document"):
            plants = moved[take.movement_id]
            whole = sum(plants.values())
            expected = {codes[key]: n / whole for key, n in plants.items() if n}
            rows = trace_document(take.line.document)
            assert not rows or shares(rows) == expected


@settings(max_examples=15, deadline=None)
@given(scripts())
def test_a_recall_reaches_no_further_than_plants_can(script):
    """Oracle: networkx, descendants in the graph of movements between lots."""
    with rolled_back():
        Player().play(script)
        graph = networkx.DiGraph()
        graph.add_nodes_from(Lot.objects.values_list("code", flat=True))
        graph.add_edges_from(
            Movement.objects.filter(kind="moved").values_list("from_lot__code", "to_lot__code")
        )
        for batch in Batch.objects.all():
            first = set(batch.movements.values_list("to_lot__code", flat=True))
            reached = first.union(*(networkx.descendants(graph, lot) for lot in first))
            assert {row.lot for row in trace_batch(batch)} <= reached
