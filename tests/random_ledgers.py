"""Make random ledgers as scripts, and enter them through the operations.

A script is worked out with whole numbers of its own, so that it says what must come of
each event without asking the code under test. Its `lines` are what the events amount to:

    ("in", lot, plants)              ("cost", lot, category, millionths)
    ("lost", lot, plants)            ("moved", lot, to_lot, plants)
    ("out", kind, lot, plants)       ("sold", sale, lot, plants)
    ("back", sale, lot, plants)      ("discarded", sale, plants)
"""

from dataclasses import dataclass, field
from datetime import date, timedelta
from uuid import uuid4

from hypothesis import strategies as st

from inventory import operations
from inventory.models import Lot
from nursery.money import from_millionths
from sales import operations as sales_operations
from tests.factories import BuyerFactory, PlaceFactory, PlantFactory, cause, container, sell_from

FIRST_DAY = date(2025, 3, 1)
CATEGORIES = ("cuttings", "medium", "labour", "other")
# Divisible by two more often than a script is long: halving it is always exact.
MANY_HALVES = 2**20
BEGIN, TRAY, POT = "stick", "tray", "#1"


@dataclass(frozen=True)
class Event:
    """One event: what is entered, and the lines it amounts to."""

    kind: str
    on: date
    lines: tuple
    lot: str = ""
    to_lot: str = ""
    quantity: int = 0
    lost: int = 0
    costs: dict = field(default_factory=dict)
    sale: int = -1
    treatment: str = ""
    size: str = ""


@dataclass
class Script:
    """Events so far, and what the lots hold after them."""

    draw: callable
    halves: bool
    events: list = field(default_factory=list)
    held: dict = field(default_factory=dict)
    sizes: dict = field(default_factory=dict)
    sales: list = field(default_factory=list)
    day: date = FIRST_DAY

    def number(self, most: int) -> int:
        """Draw a number of plants to take of `most`: any, or just half or all of them."""
        if not self.halves:
            return self.draw(st.integers(1, most))
        return self.draw(st.sampled_from([most // 2, most] if most % 2 == 0 else [most]))

    def money(self) -> dict:
        """Draw costs as {category: millionths}."""
        whole = st.integers(1, 50).map(lambda n: n * MANY_HALVES)
        amounts = whole if self.halves else st.integers(1, 500_000_000)
        return self.draw(st.dictionaries(st.sampled_from(CATEGORIES), amounts, max_size=2))

    def standing(self, size: str = "") -> list[str]:
        return [lot for lot, n in self.held.items() if n and size in ("", self.sizes[lot])]

    def target(self, size: str, but_not: str = "") -> str:
        """Draw a lot that stands in that size, or a new one, and see that it is known."""
        known = [lot for lot, own in self.sizes.items() if own == size and lot != but_not]
        lot = self.draw(st.sampled_from([*known, f"L{len(self.sizes)}"]))
        self.sizes[lot] = size
        self.held.setdefault(lot, 0)
        return lot

    def shift(self, lot: str, quantity: int, to_lot: str = "") -> None:
        self.held[lot] -= quantity
        if to_lot:
            self.held[to_lot] += quantity

    def add(self, kind: str, *lines: tuple, **facts) -> None:
        self.events.append(Event(kind, self.day, lines, **facts))


def _charged(lot, costs):
    return [("cost", lot, category, amount) for category, amount in costs.items()]


def begin(script: Script) -> None:
    lot = script.target(script.draw(st.sampled_from([TRAY, POT])))
    quantity = script.draw(st.sampled_from([8, 16, 32]) if script.halves else st.integers(1, 90))
    costs = script.money()
    script.held[lot] += quantity
    lines = [("in", lot, quantity), *_charged(lot, costs)]
    facts = {"lot": lot, "quantity": quantity, "costs": costs, "size": script.sizes[lot]}
    script.add("begin", *lines, **facts)


def cost(script: Script) -> None:
    lot = script.draw(st.sampled_from(list(script.held)))
    costs = script.money() or {"labour": MANY_HALVES}
    script.add("cost", *_charged(lot, costs), lot=lot, costs=costs)


def pot_up(script: Script) -> None:
    lot = script.draw(st.sampled_from(script.standing(TRAY)))
    target, costs = script.target(POT), script.money()
    lost = script.draw(st.integers(0, script.held[lot] // 2)) if not script.halves else 0
    script.held[lot] -= lost
    quantity = script.number(script.held[lot])
    script.shift(lot, quantity, target)
    lines = [("lost", lot, lost)] if lost else []
    lines += [("moved", lot, target, quantity), *_charged(target, costs)]
    facts = {"lot": lot, "to_lot": target, "quantity": quantity, "lost": lost, "costs": costs}
    script.add("pot_up", *lines, **facts)


def part(script: Script) -> None:
    lot = script.draw(st.sampled_from(script.standing()))
    target, quantity = script.target(script.sizes[lot], lot), script.number(script.held[lot])
    script.shift(lot, quantity, target)
    line = ("moved", lot, target, quantity)
    script.add("part", line, lot=lot, to_lot=target, quantity=quantity)


def blend(script: Script) -> None:
    lot = script.draw(st.sampled_from(script.standing()))
    size = script.sizes[lot]
    others = [other for other in script.held if script.sizes[other] == size and other != lot]
    if others:
        target, quantity = script.draw(st.sampled_from(others)), script.held[lot]
        script.shift(lot, quantity, target)
        line = ("moved", lot, target, quantity)
        script.add("blend", line, lot=lot, to_lot=target, quantity=quantity)


def lose(script: Script) -> None:
    lot = script.draw(st.sampled_from(script.standing()))
    quantity = script.number(script.held[lot])
    treatment = script.draw(st.sampled_from(["normal", "abnormal"]))
    script.shift(lot, quantity)
    is_carried = treatment == "normal"
    line = ("lost", lot, quantity) if is_carried else ("out", "lost", lot, quantity)
    script.add("lose", line, lot=lot, quantity=quantity, treatment=treatment)


def find(script: Script) -> None:
    lot = script.draw(st.sampled_from(script.standing()))
    more = script.held[lot] if script.halves else script.draw(st.integers(1, 9))
    script.held[lot] += more
    script.add("find", ("in", lot, more), lot=lot, quantity=script.held[lot])


def leave(script: Script) -> None:
    lot = script.draw(st.sampled_from(script.standing()))
    kind, quantity = script.draw(st.sampled_from(["use", "give"])), script.number(script.held[lot])
    script.shift(lot, quantity)
    script.add(kind, ("out", "used", lot, quantity), lot=lot, quantity=quantity)


def sell(script: Script) -> None:
    lot = script.draw(st.sampled_from(script.standing()))
    quantity, sale = script.number(script.held[lot]), len(script.sales)
    script.shift(lot, quantity)
    script.sales.append([lot, quantity])
    script.add("sell", ("sold", sale, lot, quantity), lot=lot, quantity=quantity, sale=sale)


def take_back(script: Script) -> None:
    out = [number for number, (_, left) in enumerate(script.sales) if left]
    if not out:
        return
    sale = script.draw(st.sampled_from(out))
    lot, left = script.sales[sale]
    quantity, restock = script.number(left), script.draw(st.booleans())
    script.sales[sale][1] -= quantity
    if restock:
        script.held[lot] += quantity
    line = ("back", sale, lot, quantity) if restock else ("discarded", sale, quantity)
    kind = "restock" if restock else "discard"
    script.add(kind, line, lot=lot, quantity=quantity, sale=sale)


KINDS = (begin, cost, pot_up, part, blend, lose, find, leave, sell, sell, take_back)
IN_STOCK = (part, blend, lose, find, leave, sell)


@st.composite
def scripts(draw, longest: int = 25, halves: bool = False) -> list[Event]:
    """Draw a script of events that can all happen, in the order of their dates."""
    script = Script(draw, halves)
    begin(script)
    for _ in range(draw(st.integers(4, longest))):
        script.day += timedelta(draw(st.integers(0, 3)))
        kind = draw(st.sampled_from(KINDS))
        if kind is pot_up and not script.standing(TRAY):
            continue
        if kind in IN_STOCK and not script.standing():
            kind = begin
        kind(script)
    return script.events


class Player:
    """Enter events through the operations, all of one plant."""

    def __init__(self):
        self.plant, self.place, self.buyer = PlantFactory(), PlaceFactory(), BuyerFactory()
        self.documents = {}

    def play(self, script: list[Event]) -> "Player":
        for number, event in enumerate(script):
            self.enter(event, number)
        return self

    def enter(self, event: Event, number: int) -> None:
        """Enter one event."""
        lot = Lot.objects.filter(code=event.lot).first()
        when = {"on": event.on, "request_id": uuid4()}
        costs = {name: from_millionths(amount) for name, amount in event.costs.items()}
        if event.kind == "begin":
            facts = {"kind": BEGIN, "batch": f"B{number}", "lot": event.lot, "plant": self.plant}
            facts |= {"container": container(event.size), "quantity": event.quantity}
            operations.begin(place=self.place, costs=costs, **facts, **when)
        elif event.kind == "cost":
            operations.add_cost(lot=lot, costs=costs, **when)
        elif event.kind == "pot_up":
            facts = {"quantity": event.quantity, "lost": event.lost, "treatment": "normal"}
            facts |= {"to_lot": event.to_lot, "container": container(POT), "costs": costs}
            operations.pot_up(lot=lot, **facts, **when)
        elif event.kind == "part":
            facts = {"quantity": event.quantity, "to_lot": event.to_lot}
            operations.move(lot=lot, **facts, **when)
        else:
            self._enter_more(event, lot, when)

    def _enter_more(self, event, lot, when):
        if event.kind == "blend":
            operations.blend(lot=lot, to_lot=Lot.objects.get(code=event.to_lot), **when)
        elif event.kind == "lose":
            loss = operations.Loss(lot, event.quantity, cause("winter"), event.treatment)
            operations.write_off(losses=[loss], **when)
        elif event.kind == "find":
            operations.count(lot=lot, found=event.quantity, **when)
        elif event.kind in ("use", "give"):
            operations.take_out(kind=event.kind, lot=lot, quantity=event.quantity, **when)
        elif event.kind == "sell":
            buyer = self.buyer if event.sale % 2 else None
            price = f"{4 + event.sale}.50"
            document = sell_from(lot, event.quantity, price, on=event.on, buyer=buyer)
            self.documents[event.sale] = document
        else:
            sales_operations.take_back(
                document=self.documents[event.sale],
                plants=[(lot, event.quantity)],
                restock=event.kind == "restock",
                **when,
            )
