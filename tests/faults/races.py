"""Races: a scene, deeds that are begun at the same moment, and how many of them may win.

Each is planned anew on a lot of its own with ten plants, so that thousands fit in one ledger.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random
from uuid import UUID

from inventory.models import Nursery, Operation, Place, Plant
from sales.models import Buyer, HoldLine
from tests.factories import PlaceFactory
from tests.faults.deeds import Deed

TEN = 10
# What is done on no day of its own.
DAYLESS = ("undo", "undo_sale", "merge", "buyer", "share", "letterhead", "settings", "photo")


@dataclass(frozen=True)
class Race:
    """Deeds to be begun at once, how many may be done where that is fixed, what is true then."""

    deeds: list[Deed]
    winners: int | None = None
    claim: Callable[[], bool] = lambda: True


class Course:
    """Where a race is run: a new lot of ten plants, a day, and chance."""

    def __init__(self, chance: Random, on: date):
        self.chance, self.on = chance, on
        self.lot, self.other = self.code("R"), self.code("O")
        self.plant = chance.choice(Plant.objects.order_by("pk").values_list("pk", flat=True))
        self.buyer = Buyer.objects.order_by("pk").first().pk
        self.begin(self.lot)

    def deed(self, kind: str, **facts) -> Deed:
        """Return a deed of the race's day, under a new request."""
        facts = facts if kind in DAYLESS else {"on": self.on} | facts
        return Deed(kind, UUID(int=self.chance.getrandbits(128), version=4), facts)

    def begin(self, code: str) -> None:
        """Let a lot of ten plants begin."""
        place = Place.objects.order_by("pk").first().pk
        facts = {"plant": self.plant, "quantity": TEN, "cost": "3.33", "place": place}
        self.deed("stick", code=code, **facts).do()

    def code(self, letter: str) -> str:
        return f"{letter}{self.chance.getrandbits(40):x}"

    def sale(self, quantity: int, **facts) -> Deed:
        facts = {"buyer": None, "paid_by": "cash"} | facts
        return self.deed("sell", items=[(self.lot, quantity)], **facts)

    def sold(self, quantity: int, **facts) -> int:
        """Sell plants before the race and return the document's key."""
        return self.sale(quantity, **facts).do()[1]

    def hold(self, quantity: int) -> Deed:
        facts = {"buyer": self.buyer, "plant": self.plant, "lot": self.lot}
        return self.deed("hold", quantity=quantity, **facts)

    def place(self) -> int:
        return PlaceFactory(name=self.code("Stand ")).pk

    def stand(self, **facts) -> Deed:
        return self.deed("stand_day", **{"open": None, "close": None} | facts)

    def loss(self, quantity: int, **facts) -> Deed:
        return self.deed("lose", losses=[(self.lot, quantity, "pest")], **facts)


def last_plants(course: Course) -> Race:
    return Race([course.sale(7), course.sale(7)], winners=1)


def eight_buyers(course: Course) -> Race:
    return Race([course.sale(3) for _ in range(8)], winners=3)


def sale_or_loss(course: Course) -> Race:
    return Race([course.sale(7), course.loss(6)], winners=1)


def sale_or_move(course: Course) -> Race:
    move = course.deed("move", lot=course.lot, to=course.code("M"))
    return Race([course.sale(8), move], winners=1)


def sale_or_blend(course: Course) -> Race:
    course.begin(course.other)
    blend = course.deed("blend", lot=course.lot, into=course.other)
    return Race([course.sale(TEN), blend], winners=1)


def sale_or_pot_up(course: Course) -> Race:
    return Race([course.sale(4), course.deed("pot_up", lot=course.lot, to=course.code("P"))], 1)


def sale_or_gift(course: Course) -> Race:
    return Race([course.sale(6), course.deed("give", lot=course.lot, quantity=6)], winners=1)


def sale_or_count(course: Course) -> Race:
    return Race([course.sale(7), course.deed("count", lot=course.lot, found=4)])


def sale_or_undoing(course: Course) -> Race:
    began = Operation.objects.latest("pk").pk
    return Race([course.sale(2), course.deed("undo", operation=began)], winners=1)


def return_or_undoing(course: Course) -> Race:
    sale = course.sold(5)
    back = course.deed("take_back", document=sale, restock=True)
    return Race([back, course.deed("undo_sale", document=sale)])


def two_undoings(course: Course) -> Race:
    last = Operation.objects.latest("pk").pk
    return Race([course.deed("undo", operation=last) for _ in range(2)], winners=1)


def backdated_loss(course: Course) -> Race:
    later = course.on + timedelta(2)
    course.sold(2, on=later)
    return Race([course.sale(6, on=later), course.loss(4)], winners=1)


def backdated_cost(course: Course) -> Race:
    cost = course.deed("cost", lot=course.lot, amount="7.77")
    sale = course.sale(6, on=course.on + timedelta(3))
    return Race([sale, cost, course.loss(2, on=course.on + timedelta(1))], winners=3)


def numbers(course: Course) -> Race:
    """Issue eight documents of two series at once, and a credit note."""
    sale = course.sold(1, buyer=course.buyer)
    sales = [course.sale(1, buyer=buyer) for buyer in (course.buyer, None) * 3]
    return Race([*sales, course.deed("take_back", document=sale, restock=False)], winners=7)


def one_request(course: Course) -> Race:
    return Race([course.sale(6)] * 2, winners=2)


def one_request_of_many_kinds(course: Course) -> Race:
    kinds = [
        course.loss(2),
        course.deed("pot_up", lot=course.lot, to=course.code("P")),
        course.deed("photo", colour=course.chance.getrandbits(24)),
        course.deed("hold", buyer=course.buyer, plant=course.plant),
        course.deed("price_sheet", prices=[(course.plant, "9.10")]),
        course.deed("buyer", name=f"Garden {course.lot}"),
        course.deed("deposit", buyer=course.buyer, amount="2.00"),
        course.deed("ledger_file", code=course.code("F"), rows=2),
    ]
    return Race([course.chance.choice(kinds)] * 2, winners=2)


def hold_or_sale(course: Course) -> Race:
    return Race([course.hold(7), course.sale(7)], winners=1)


def handed_over_twice(course: Course) -> Race:
    hold = course.hold(7).do()[1]
    line = HoldLine.objects.get(hold=hold).pk
    handing = [course.deed("sell_held", hold=hold, line=line, quantity=7) for _ in "ab"]
    return Race([*handing, course.sale(4)], winners=1)


def let_go_or_handed_over(course: Course) -> Race:
    hold = course.hold(7).do()[1]
    line = HoldLine.objects.get(hold=hold).pk
    handing = course.deed("sell_held", hold=hold, line=line, quantity=7)
    return Race([handing, course.deed("let_go", hold=hold)])


def two_stands_at_one_place(course: Course) -> Race:
    place = course.place()
    plants = {course.lot: 3}
    return Race([course.stand(open=place, plants=plants) for _ in "ab"], winners=1)


def stand_closed_or_sold_at(course: Course) -> Race:
    """Count three plants left of six while two are sold: one of both is refused, or neither."""
    stand = course.stand(open=course.place(), plants={course.lot: 6}).do()[1]
    close = course.stand(close=stand, plants={course.lot: 3})
    return Race([close, course.sale(2, stand=stand)])


def merge_or_sale(course: Course) -> Race:
    names = [course.deed("buyer", name=f"Garden {course.code('B')}").do()[1] for _ in range(2)]
    merge = course.deed("merge", kept=names[0], merged=names[1])
    return Race([merge, course.sale(2, buyer=names[1])], winners=2)


def merge_in_a_ring(course: Course) -> Race:
    one, two = (course.deed("buyer", name=f"Garden {course.code('B')}").do()[1] for _ in "ab")
    merges = [course.deed("merge", kept=a, merged=b) for a, b in ((one, two), (two, one))]
    return Race(merges, winners=1)


def one_name_twice(course: Course) -> Race:
    name = f"Garden {course.code('B')}"
    return Race([course.deed("buyer", name=name), course.deed("buyer", name=name.upper())], 1)


def money_used_twice(course: Course) -> Race:
    buyer = course.deed("buyer", name=f"Garden {course.code('B')}").do()[1]
    course.deed("deposit", buyer=buyer, amount="5.00").do()
    bills = [course.sold(1, buyer=buyer, paid_by="") for _ in "ab"]
    uses = [course.deed("use_account", document=one, amount="4.00") for one in bills]
    return Race(uses, winners=1)


def paid_while_undone(course: Course) -> Race:
    sale = course.sold(3, paid_by="", buyer=course.buyer)
    return Race([course.deed("pay", document=sale), course.deed("undo_sale", document=sale)])


def shared_twice(course: Course) -> Race:
    sale = course.sold(1)
    return Race([course.deed("share", document=sale) for _ in "ab"], winners=2)


def price_or_sale(course: Course) -> Race:
    sheet = course.deed("price_sheet", prices=[(course.plant, "11.25")])
    return Race([sheet, course.sale(4)], winners=2)


def settings_or_letterhead(course: Course) -> Race:
    name, terms = course.code("Nursery "), course.code("Terms ")
    deeds = [course.deed("settings", name=name), course.deed("letterhead", terms=terms)]
    return Race(deeds, 2, lambda: Nursery.objects.filter(name=name, terms=terms).exists())


def two_ledger_files(course: Course) -> Race:
    files = [course.deed("ledger_file", code=course.code("F"), rows=2) for _ in "ab"]
    return Race([*files, course.sale(2)], winners=3)


def eight_at_one_lot(course: Course) -> Race:
    """Let eight people do eight things to ten plants."""
    return Race(
        [
            course.sale(4),
            course.sale(4, buyer=course.buyer),
            course.loss(4),
            course.deed("count", lot=course.lot, found=5),
            course.deed("move", lot=course.lot, to=course.code("M")),
            course.deed("pot_up", lot=course.lot, to=course.code("P")),
            course.deed("give", lot=course.lot, quantity=4),
            course.deed("cost", lot=course.lot, amount="1.01"),
        ]
    )


RACES = {
    name: plan
    for name, plan in list(globals().items())
    if callable(plan) and getattr(plan, "__annotations__", {}).get("return") is Race
}
