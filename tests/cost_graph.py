"""Work a script's costs out in two other ways: a sparse system of equations, and fractions.

Each lot is a chain of versions; each version is a node whose cost is what comes from
outside plus shares of the nodes before it. Nothing here is rounded to the millionth.
"""

from collections import defaultdict
from fractions import Fraction

import numpy
from scipy.sparse import csc_matrix, identity
from scipy.sparse.linalg import spsolve

from tests.random_ledgers import CATEGORIES, Event


class CostGraph:
    """The transfer matrix of a script, and where its ends are."""

    def __init__(self, script: list[Event]):
        self.shares: list[list[tuple[int, Fraction]]] = []
        self.entered: dict[tuple[int, str], int] = {}
        self.standing: dict[str, int] = {}
        self.held: dict[str, int] = defaultdict(int)
        self.sold: dict[int, int] = {}
        self.with_buyer: dict[int, int] = {}
        self.ends: dict[str, list[int]] = defaultdict(list)
        self.taken = 0
        for event in script:
            for verb, *facts in event.lines:
                getattr(self, f"_{verb}")(*facts)

    def _node(self, *shares) -> int:
        """Add a node that receives (earlier node, share of it) and return its number."""
        self.shares.append([(node, share) for node, share in shares if share])
        return len(self.shares) - 1

    def _version(self, lot, *more) -> None:
        """Give a lot its next version: what it held, and more."""
        before = [(self.standing[lot], Fraction(1))] if lot in self.standing else []
        self.standing[lot] = self._node(*before, *more)

    def _enter(self, node, category, amount):
        self.entered[node, category] = self.entered.get((node, category), 0) + amount

    def _in(self, lot, quantity):
        self.held[lot] += quantity
        self._version(lot)

    def _cost(self, lot, category, amount):
        if self.held[lot]:
            self._version(lot)
            self._enter(self.standing[lot], category, amount)
        else:
            node = self._node()
            self._enter(node, category, amount)
            self.ends["uncarried"].append(node)

    def _lost(self, lot, quantity):
        if quantity == self.held[lot]:
            self._out("lost", lot, quantity)
        else:
            self.held[lot] -= quantity

    def _take(self, lot, quantity) -> tuple[int, Fraction]:
        """Take plants out and return what they carry, as a share of a node."""
        before, share = self.standing[lot], Fraction(quantity, self.held[lot])
        self.held[lot] -= quantity
        self.standing[lot] = self._node((before, 1 - share))
        self.taken += 1
        return before, share

    def _moved(self, lot, to_lot, quantity):
        carried = self._take(lot, quantity)
        self.held[to_lot] += quantity
        self._version(to_lot, carried)

    def _out(self, kind, lot, quantity):
        self.ends[kind].append(self._node(self._take(lot, quantity)))

    def _sold(self, sale, lot, quantity):
        self.sold[sale] = self._node(self._take(lot, quantity))
        self.with_buyer[sale] = quantity

    def _given_back(self, sale, quantity) -> tuple[int, Fraction]:
        before, share = self.sold[sale], Fraction(quantity, self.with_buyer[sale])
        self.with_buyer[sale] -= quantity
        self.sold[sale] = self._node((before, 1 - share))
        self.taken += 1
        return before, share

    def _back(self, sale, lot, quantity):
        carried = self._given_back(sale, quantity)
        self.held[lot] += quantity
        self._version(lot, carried)

    def _discarded(self, sale, quantity):
        self.ends["lost"].append(self._node(self._given_back(sale, quantity)))

    def solved(self, category: str) -> list[float]:
        """Return each node's cost by scipy's sparse solver: (I - T) x = entered."""
        entries = [
            (node, before, float(share))
            for node, shares in enumerate(self.shares)
            for before, share in shares
        ]
        size = (len(self.shares), len(self.shares))
        rows, columns, values = zip(*entries, strict=True) if entries else ((), (), ())
        transfer = csc_matrix((values, (rows, columns)), shape=size)
        entered = numpy.array(self._entered(category), dtype=float)
        return spsolve(identity(size[0], format="csc") - transfer, entered).tolist()

    def exact(self, category: str) -> list[Fraction]:
        """Return each node's cost in fractions: every node comes after those it is fed by."""
        costs: list[Fraction] = []
        for shares, entered in zip(self.shares, self._entered(category), strict=True):
            costs.append(entered + sum(costs[node] * share for node, share in shares))
        return costs

    def _entered(self, category):
        return [self.entered.get((node, category), 0) for node in range(len(self.shares))]

    def where(self, costs: list) -> dict:
        """Return the cost of each lot, each sale and each outlet."""
        return (
            {("lot", lot): costs[node] for lot, node in self.standing.items()}
            | {("sale", sale): costs[node] for sale, node in self.sold.items()}
            | {("end", end): sum(costs[node] for node in nodes) for end, nodes in self.ends.items()}
        )

    def all_where(self, method: str) -> dict:
        """Return {(place, category): cost} by "exact" or "solved"."""
        return {
            (*place, category): cost
            for category in CATEGORIES
            for place, cost in self.where(getattr(self, method)(category)).items()
        }
