"""Check the flow of costs on random ledgers against the outside.

Oracle: scipy.sparse.linalg.spsolve on the transfer matrix of the same events, and
fractions.Fraction for exact conservation. The ledger keeps whole millionths, so each time
plants are taken from a lot, at most one millionth may differ by category; where every
taking divides evenly, nothing may.
"""

from collections import defaultdict

import pytest
from django.db.models import Sum
from hypothesis import given, settings

from inventory.models import CostEntry, LotBalance, Movement, UncarriedCost
from nursery.money import to_millionths
from tests.cost_graph import CostGraph
from tests.ledger_figures import assert_conserved, assert_the_books_are_right, rolled_back
from tests.random_ledgers import CATEGORIES, Player, scripts

pytestmark = pytest.mark.django_db
FLOAT_NOISE = 1e-3

ENDS = {"lost": ("lost", "lost_abnormal"), "used": ("used", "given")}


def ledgers_figures(player: Player) -> dict:
    """Return {(place, category): millionths} as the ledger keeps them."""
    found: dict = defaultdict(int)
    for category in CATEGORIES:
        field = f"cost_{category}"
        for lot, cost in LotBalance.objects.values_list("lot__code", field):
            found["lot", lot, category] = to_millionths(cost)
        for sale, document in player.documents.items():
            sold = document.lines.get().takes.get().movement
            back = Movement.objects.filter(of=sold)
            cost = getattr(sold.carried, field) - _carried(back, category)
            found["sale", sale, category] = to_millionths(cost)
        for end, kinds in ENDS.items():
            cost = _carried(Movement.objects.filter(kind__in=kinds), category)
            found["end", end, category] = to_millionths(cost)
        entries = UncarriedCost.objects.filter(entry__category=category)
        cost = entries.aggregate(sum=Sum("entry__amount"))["sum"] or 0
        found["end", "uncarried", category] = to_millionths(cost)
    return found


def _carried(movements, category):
    return movements.aggregate(sum=Sum(f"carried__cost_{category}"))["sum"] or 0


def assert_near(ours: dict, theirs: dict, allowed: float) -> None:
    for place in ours.keys() | theirs.keys():
        difference = abs(ours.get(place, 0) - theirs.get(place, 0))
        assert difference <= allowed, (place, ours.get(place, 0), theirs.get(place, 0))


@settings(max_examples=30, deadline=None)
@given(scripts())
def test_costs_end_where_the_equations_say(script):
    with rolled_back():
        player = Player().play(script)
        graph, ours = CostGraph(script), ledgers_figures(player)

        assert_near(ours, graph.all_where("solved"), graph.taken + FLOAT_NOISE)
        assert_near(ours, graph.all_where("exact"), graph.taken)
        assert_the_books_are_right()
        assert dict(LotBalance.objects.values_list("lot__code", "on_hand")) == dict(graph.held)


@settings(max_examples=20, deadline=None)
@given(scripts(halves=True, longest=18))
def test_where_every_taking_divides_evenly_nothing_differs(script):
    with rolled_back():
        player = Player().play(script)
        graph, ours = CostGraph(script), ledgers_figures(player)
        exact = graph.all_where("exact")

        assert all(cost.denominator == 1 for cost in exact.values() if cost)
        assert_near(ours, exact, 0)


@settings(max_examples=12, deadline=None)
@given(scripts())
def test_nothing_is_created_or_lost_in_fractions_nor_in_the_ledger(script):
    with rolled_back():
        player = Player().play(script)
        graph, ours = CostGraph(script), ledgers_figures(player)
        exact = graph.all_where("exact")

        for category in CATEGORIES:
            entries = CostEntry.objects.filter(category=category)
            entered = to_millionths(entries.aggregate(sum=Sum("amount"))["sum"] or 0)
            assert sum(cost for (*_, name), cost in exact.items() if name == category) == entered
            assert sum(cost for (*_, name), cost in ours.items() if name == category) == entered
        for day in {event.on for event in script}:
            assert_conserved(day)
