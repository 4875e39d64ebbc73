"""A target as its page shows it: the chain, what it takes, what it costs and earns."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import groupby

from inventory.models import Container, Target
from inventory.planning.answer import Row, Taken
from inventory.planning.needs import Need, Room, cost_of_one, money_of, needs_of, rooms_of
from inventory.planning.ways import GROWING, LINER, ROOTING
from inventory.queries.chances import Learnt
from inventory.queries.plans import Plan, Planner
from inventory.queries.space import space_used
from inventory.queries.space_ahead import square_metres_of_one
from inventory.queries.takes import TakesBook
from inventory.statistics.spread import all_through
from inventory.statistics.starting import mean_of
from sales.break_even import BreakEven
from sales.queries.prices import PriceBook

A_YEAR = timedelta(days=365)
BEGINNINGS = {ROOTING: "Stuck in", LINER: "Rooted in", GROWING: "Potted into"}
KINDS = {ROOTING: "stick", GROWING: "pot_up"}


@dataclass(frozen=True)
class TakenRow:
    """Plants that grow towards the target, with their container."""

    taken: Taken
    container: Container
    today: date

    @property
    def plants(self) -> int:
        return self.taken.plants

    @property
    def sure(self) -> int:
        return self.taken.sure

    @property
    def since(self) -> date:
        return self.taken.coming.standing.since

    @property
    def ready_on(self) -> date:
        return self.taken.coming.ready_on

    @property
    def is_ready(self) -> bool:
        return self.ready_on <= self.today

    @property
    def likely(self) -> float:
        return self.plants * mean_of(self.taken.coming.share)


@dataclass(frozen=True)
class ChainRow:
    """A stretch of the chain with what it rests on."""

    row: Row
    container: Container
    learnt: Learnt
    percent_lost: float

    @property
    def words(self) -> str:
        return f"{BEGINNINGS[self.row.stretch.stage]} {self.container}"


@dataclass(frozen=True)
class NeedsOfDay:
    """What is needed on one day, and its money."""

    on: date
    needs: list[Need]

    @property
    def money(self) -> Fraction:
        return money_of(self.needs)


@dataclass(frozen=True)
class TargetPage:
    """All that the page of a target says."""

    plan: Plan
    taken: list[TakenRow]
    chain: list[ChainRow]
    days: list[NeedsOfDay]
    rooms: list[tuple[Container, Room]]
    without_recipe: list[Container]
    room_money: Fraction
    price: Decimal | None
    through: float

    @property
    def money(self) -> Fraction:
        return sum((day.money for day in self.days), self.room_money)

    @property
    def ready(self) -> int:
        """The plants probably ready of those to be stuck."""
        return self.plan.answer.likely

    @property
    def lost(self) -> int:
        return self.plan.answer.to_stick - self.ready

    @property
    def ready_on(self) -> date:
        return self.plan.answer.rows[-1].stretch.ends

    @property
    def days_in_a_pot(self) -> int:
        return self.plan.way.pots[-1].days

    @property
    def unit_cost(self) -> Fraction | None:
        """The cost of one plant that is ready, which is the price that gets the money back."""
        needs = [need for day in self.days for need in day.needs]
        one = cost_of_one(needs, self.ready)
        return one + self.room_money / self.ready if one is not None else None

    @property
    def paid_by(self) -> int | None:
        """How many must be sold at the price until all is paid; None where no number does."""
        if not self.price:
            return None
        return BreakEven(self.price, 0, self.money).plants_for()

    @property
    def left(self) -> Fraction | None:
        """What is left when all that are probably ready sell at the price."""
        return None if self.price is None else Fraction(self.price) * self.ready - self.money


def target_page(
    target: Target, today: date, through: float | None = None, price: Decimal | None = None
) -> TargetPage:
    """Return a target's page, as it stands or as if that share came through at that price."""
    planner = Planner(today)
    plan = planner.plan(target, through)
    rows, containers = plan.answer.rows, Container.objects.in_bulk()
    book = TakesBook(target.plant)
    needs = needs_of(rows, book.takes)
    rooms = rooms_of(rows, square_metres_of_one())
    if price is None:
        listed = PriceBook(today, [target.plant_id])
        price = listed.amount(target.plant_id, target.container_id)
    share = all_through(tuple(row.share for row in rows))
    return TargetPage(
        plan,
        [
            TakenRow(one, containers[one.coming.standing.container], today)
            for one in plan.answer.taken
        ],
        [
            ChainRow(
                row,
                containers[row.stretch.container],
                plan.learnt[row.stretch.stage],
                100 * (1 - mean_of(row.share)),
            )
            for row in rows
        ],
        [NeedsOfDay(on, list(day)) for on, day in groupby(needs, key=lambda need: need.on)],
        [(containers[room.container], room) for room in rooms],
        [containers[key] for key in _without_recipe(rows, book)],
        _room_money(rooms, today),
        price,
        100 * mean_of(share),
    )


def _without_recipe(rows, book):
    """Return the containers of which no recipe says what a plant takes on its way in."""
    into = [(row.stretch.container, KINDS.get(row.stretch.stage)) for row in rows]
    return [key for key, kind in into if kind and not book.takes(kind, key).is_known]


def _room_money(rooms, today):
    """Return what the room costs, by what a square metre in use cost a day in the last year."""
    area_days = sum((room.area * (room.ends - room.begins).days for room in rooms), Fraction(0))
    if not area_days:
        return Fraction(0)
    each = space_used(today - A_YEAR, today - timedelta(days=1)).whole.cost_per_area_day
    return area_days * each if each else Fraction(0)
