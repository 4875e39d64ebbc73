"""Entries in any order of dates, undone in any order, against a model that starts from nothing.

The model knows only lists of lines. From them it says which entry must be refused, what
every lot holds, and by the equations of tests/cost_graph.py what everything has cost.
"""

from collections import Counter
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import transaction
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from inventory import operations
from inventory.errors import LedgerError
from inventory.models import Lot, LotBalance, Operation
from inventory.operations import reverse
from nursery.money import from_millionths
from sales import operations as sales_operations
from tests.checks.test_cost_graph import assert_near, ledgers_figures
from tests.cost_graph import CostGraph
from tests.factories import PlantFactory, cause, container, lot_holding, sell_from
from tests.fuzz import MORE
from tests.ledger_figures import assert_conserved, assert_the_books_are_right, kept, report
from tests.random_ledgers import CATEGORIES, FIRST_DAY, Event

pytestmark = pytest.mark.django_db

LOTS = ("A", "B", "C", "D")
DAYS = st.integers(0, 12).map(lambda number: FIRST_DAY + timedelta(number))
LOT, NUMBER = st.sampled_from(LOTS), st.integers(1, 25)
AMOUNT = st.integers(-3_000_000, 90_000_000).filter(bool)
LAST = 10**9


def may_happen(entries: list[tuple]) -> bool:
    """Say whether no lot ever holds fewer than no plants."""
    held: Counter = Counter()
    for _, _, lines in sorted(entries, key=lambda entry: entry[:2]):
        for verb, *facts in lines:
            if verb == "moved":
                source, target, quantity = facts
                held[source] -= quantity
                held[target] += quantity
            elif verb in ("in", "back"):
                held[facts[-2]] += facts[-1]
            elif verb in ("lost", "out", "sold"):
                held[facts[-2]] -= facts[-1]
            if min(held.values(), default=0) < 0:
                return False
    return True


def figures_of_reports() -> list:
    """Return what undoing must restore, dates of last entries left aside."""
    beside = kept()
    balances = [(lot, n, place, *costs) for lot, n, place, _, *costs in beside["balances"]]
    margins = [report("margin", by=by) for by in ("lot", "batch", "month")]
    return [balances, beside["carried"], beside["uncarried"], margins, report("losses")]


class AnyOrder(RuleBasedStateMachine):
    def __init__(self):
        super().__init__()
        self.transaction = transaction.atomic()
        self.transaction.__enter__()
        self.entries: dict[int, tuple] = {}
        self.documents: dict[int, object] = {}
        self.returned: Counter = Counter()
        self.returns: dict[int, tuple] = {}
        self.plant = PlantFactory()

    def teardown(self):
        transaction.set_rollback(True)
        self.transaction.__exit__(None, None, None)

    @initialize(numbers=st.lists(NUMBER, min_size=len(LOTS), max_size=len(LOTS)))
    def some_lots_stand_already(self, numbers):
        for code, quantity in zip(LOTS, numbers, strict=True):
            lot_holding(quantity, code, plant=self.plant, on=FIRST_DAY, medium="10.00")
            self._note(FIRST_DAY, [("in", code, quantity), ("cost", code, "medium", 10_000_000)])

    def _note(self, on, lines) -> int:
        number = Operation.objects.latest("pk").pk
        self.entries[number] = (on, number, lines)
        return number

    def _enter(self, on, lines, write) -> int | None:
        """Enter, or see that it is refused just where the model says so."""
        fits = may_happen([*self.entries.values(), (on, LAST, lines)])
        try:
            with transaction.atomic():
                write()
        except LedgerError:
            assert not fits, "refused, although every lot would have had enough"
            return None
        assert fits, "a lot holds fewer than no plants at some moment"
        return self._note(on, lines)

    @rule(code=LOT, quantity=NUMBER, on=DAYS, amount=AMOUNT)
    def begin(self, code, quantity, on, amount):
        lines = [("in", code, quantity), ("cost", code, "cuttings", amount)]
        facts = {"plant": self.plant, "on": on, "batch": f"B{uuid4().hex[:8]}"}
        cost = {"cuttings": str(from_millionths(amount))}
        self._enter(on, lines, lambda: lot_holding(quantity, code, **facts, **cost))

    @rule(code=LOT, to=LOT, quantity=NUMBER, on=DAYS, verb=st.sampled_from(["move", "pot", "join"]))
    def transfer(self, code, to, quantity, on, verb):
        if code == to:
            return
        lot, facts = Lot.objects.get(code=code), {"on": on, "request_id": uuid4()}
        size = container("#1")
        write = {
            "move": lambda: operations.move(lot=lot, quantity=quantity, to_lot=to, **facts),
            "pot": lambda: operations.pot_up(
                lot=lot, quantity=quantity, to_lot=to, container=size, **facts
            ),
            "join": lambda: operations.blend(
                lot=lot, to_lot=Lot.objects.get(code=to), quantity=quantity, **facts
            ),
        }
        self._enter(on, [("moved", code, to, quantity)], write[verb])

    @rule(code=LOT, quantity=NUMBER, on=DAYS, treatment=st.sampled_from(["normal", "abnormal"]))
    def lose(self, code, quantity, on, treatment):
        line = ("lost", code, quantity)
        line = line if treatment == "normal" else ("out", *line)
        loss = operations.Loss(Lot.objects.get(code=code), quantity, cause("winter"), treatment)
        facts = {"losses": [loss], "on": on, "request_id": uuid4()}
        self._enter(on, [line], lambda: operations.write_off(**facts))

    @rule(code=LOT, amount=AMOUNT, on=DAYS, category=st.sampled_from(CATEGORIES))
    def spend(self, code, amount, on, category):
        facts = {"lot": Lot.objects.get(code=code), "on": on, "request_id": uuid4()}
        costs = {category: from_millionths(amount)}
        line = ("cost", code, category, amount)
        self._enter(on, [line], lambda: operations.add_cost(costs=costs, **facts))

    @rule(code=LOT, quantity=NUMBER, on=DAYS)
    def sell(self, code, quantity, on):
        sale, lot = len(self.documents) + 1, Lot.objects.get(code=code)
        made = []
        line = ("sold", sale, code, quantity)
        number = self._enter(
            on, [line], lambda: made.append(sell_from(lot, quantity, "7.00", on=on))
        )
        if number:
            self.documents[sale] = (made[0], number, code, quantity)

    @precondition(lambda self: self._sales_in_force())
    @rule(data=st.data(), later=st.integers(0, 4), restock=st.booleans())
    def take_back(self, data, later, restock):
        sale = data.draw(st.sampled_from(self._sales_in_force()))
        document, _, code, sold = self.documents[sale]
        quantity = data.draw(st.integers(1, sold - self.returned[sale]))
        on = document.date + timedelta(later)
        line = ("back", sale, code, quantity) if restock else ("discarded", sale, quantity)
        facts = {"plants": [(Lot.objects.get(code=code), quantity)], "restock": restock}
        facts |= {"document": document, "on": on, "request_id": uuid4()}
        number = self._enter(on, [line], lambda: sales_operations.take_back(**facts))
        assert number, "a return is always possible"
        self.returned[sale] += quantity
        self.returns[number] = (sale, quantity)

    def _sales_in_force(self):
        return [
            sale
            for sale, (_, number, _, sold) in self.documents.items()
            if number in self.entries and self.returned[sale] < sold
        ]

    @precondition(lambda self: self.entries)
    @rule(data=st.data())
    def undo(self, data):
        number = data.draw(st.sampled_from(sorted(self.entries)))
        others = [entry for key, entry in self.entries.items() if key != number]
        came_back = {self.documents[sale][1] for sale, n in self.returned.items() if n}
        fits = may_happen(others) and number not in came_back
        try:
            with transaction.atomic():
                reverse(operation=Operation.objects.get(pk=number), request_id=uuid4())
        except LedgerError:
            assert not fits, "not undone, although nothing rests on it"
            return
        assert fits, "undone, although later entries rest on it"
        del self.entries[number]
        sale, quantity = self.returns.pop(number, (0, 0))
        self.returned[sale] -= quantity

    @rule(code=LOT, quantity=NUMBER, on=DAYS)
    def lose_and_think_better_of_it(self, code, quantity, on):
        before, entries = figures_of_reports(), dict(self.entries)
        self.lose(code, quantity, on, "normal")
        for number in self.entries.keys() - entries.keys():
            reverse(operation=Operation.objects.get(pk=number), request_id=uuid4())
        self.entries = entries
        assert figures_of_reports() == before

    @invariant()
    def the_books_are_right(self):
        assert_the_books_are_right()
        assert_conserved(FIRST_DAY + timedelta(5))

    @invariant()
    def the_model_agrees(self):
        in_order = sorted(self.entries.values(), key=lambda entry: entry[:2])
        graph = CostGraph([Event("", on, tuple(lines)) for on, _, lines in in_order])
        held = dict(LotBalance.objects.values_list("lot__code", "on_hand"))
        assert {lot: n for lot, n in held.items() if n} == {
            lot: n for lot, n in graph.held.items() if n
        }
        standing = {
            sale: document
            for sale, (document, number, *_) in self.documents.items()
            if number in self.entries
        }
        assert_near(ledgers_figures(standing), graph.all_where("exact"), graph.taken)


def test_any_order_of_entries_and_undoings_keeps_the_books_right():
    run_state_machine_as_test(
        AnyOrder, settings=settings(max_examples=15 * MORE, stateful_step_count=20, deadline=None)
    )
