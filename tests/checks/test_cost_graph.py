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

from inventory.models import Carried, CostEntry, LotBalance, UncarriedCost
from nursery.money import to_millionths
from tests.cost_graph import CostGraph
from tests.ledger_figures import assert_conserved, assert_the_books_are_right, rolled_back
from tests.random_ledgers import CATEGORIES, Player, scripts

pytestmark = pytest.mark.django_db
FLOAT_NOISE = 1e-3
LOT = "lot__code"

FIELDS = [f"cost_{category}" for category in CATEGORIES]
ENDS = {"lost": "lost", "lost_abnormal": "lost", "used": "used", "given": "used"}


def ledgers_figures(documents: dict) -> dict:
    """Return {(place, category): millionths} as the ledger keeps them.

    `documents` are the sales in force, by the numbers that the script gives them.
    """
    places: list = [
        (("lot", code), costs) for code, *costs in LotBalance.objects.values_list(LOT, *FIELDS)
    ]
    sales = {
        document.lines.get().takes.get().movement_id: sale for sale, document in documents.items()
    }
    carried = Carried.objects.values_list("pk", "movement__kind", "movement__of", *FIELDS)
    for movement, kind, of, *costs in carried:
        if kind in ENDS:
            places.append((("end", ENDS[kind]), costs))
        if movement in sales:
            places.append((("sale", sales[movement]), costs))
        if kind == "returned":
            places.append((("sale", sales[of]), [-cost for cost in costs]))
    found: dict = defaultdict(int)
    for place, costs in places:
        for category, cost in zip(CATEGORIES, costs, strict=True):
            found[(*place, category)] += to_millionths(cost)
    entries = UncarriedCost.objects.values_list("entry__category", "entry__amount")
    for category, amount in entries:
        found["end", "uncarried", category] += to_millionths(amount)
    return found


def assert_near(ours: dict, theirs: dict, allowed: float) -> None:
    for place in ours.keys() | theirs.keys():
        difference = abs(ours.get(place, 0) - theirs.get(place, 0))
        assert difference <= allowed, (place, ours.get(place, 0), theirs.get(place, 0))


@settings(max_examples=30, deadline=None)
@given(scripts())
def test_costs_end_where_the_equations_say(script):
    with rolled_back():
        player = Player().play(script)
        graph, ours = CostGraph(script), ledgers_figures(player.documents)

        assert_near(ours, graph.all_where("solved"), graph.taken + FLOAT_NOISE)
        assert_near(ours, graph.all_where("exact"), graph.taken)
        assert_the_books_are_right()
        assert dict(LotBalance.objects.values_list("lot__code", "on_hand")) == dict(graph.held)


@settings(max_examples=20, deadline=None)
@given(scripts(halves=True, longest=18))
def test_where_every_taking_divides_evenly_nothing_differs(script):
    with rolled_back():
        player = Player().play(script)
        graph, ours = CostGraph(script), ledgers_figures(player.documents)
        exact = graph.all_where("exact")

        assert all(cost.denominator == 1 for cost in exact.values() if cost)
        assert_near(ours, exact, 0)


@settings(max_examples=12, deadline=None)
@given(scripts())
def test_nothing_is_created_or_lost_in_fractions_nor_in_the_ledger(script):
    with rolled_back():
        player = Player().play(script)
        graph, ours = CostGraph(script), ledgers_figures(player.documents)
        exact = graph.all_where("exact")

        for category in CATEGORIES:
            entries = CostEntry.objects.filter(category=category)
            entered = to_millionths(entries.aggregate(sum=Sum("amount"))["sum"] or 0)
            assert sum(cost for (*_, name), cost in exact.items() if name == category) == entered
            assert sum(cost for (*_, name), cost in ours.items() if name == category) == entered
        for day in {event.on for event in script}:
            assert_conserved(day)
