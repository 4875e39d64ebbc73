"""A small nursery to be hostile to: what the verbs are asked, drawn from what is there."""

from datetime import date, timedelta
from decimal import Decimal

from hypothesis import strategies as st

from inventory import operations as grow
from inventory.costing.categories import CATEGORIES
from inventory.models import (
    Batch,
    LossCause,
    Lot,
    Person,
    Plant,
    Supply,
)
from inventory.operations import supply_catalogue
from inventory.operations.spending import Use, Work
from inventory.starter_methods import STARTERS
from inventory.treatment import Treatment
from sales import operations as sell
from sales.models import Buyer
from tests.factories import (
    DAY,
    BuyerFactory,
    NurseryFactory,
    PlaceFactory,
    PlantFactory,
    UserFactory,
    container,
    give_price,
    lot_holding,
)

TODAY = date.today()
SIZES = ("#1", "tray", "#3")
WAYS = ("cash", "card", "transfer")
# Nine in ten are such as people enter, so that the ledger has something in it to break.
NUMBERS = st.one_of(
    *[st.integers(1, 40)] * 9,
    st.sampled_from([0, -1, -(2**31), 2**31, 2**63, 10**30]),
)
AMOUNTS = st.one_of(
    *[st.decimals("0.01", "400", places=2)] * 9,
    st.sampled_from(
        [
            *map(Decimal, ("0", "-1", "-0.01", "0.000001", "0.0000001", "0.005", "99999999999")),
            *map(Decimal, ("1E+30", "1E+999999", "NaN", "sNaN", "Infinity", "-Infinity")),
        ]
    ),
)
DAYS = st.one_of(
    *[st.integers(0, 300).map(lambda days: DAY + timedelta(days))] * 9,
    st.sampled_from([date.min, date.max, date(1900, 2, 28), TODAY, TODAY + timedelta(400)]),
)
WORDS = st.one_of(
    *[st.sampled_from(["", "north bench", "A", "B", "C-1"])] * 6,
    st.sampled_from(
        ["\u202eabc", "🌱🌱", "a\x00b", "x" * 10_000, "<b>&\"'", "=1+1", "\r\n", " ", "{{ 1 }}"]
    ),
)


class World:
    """What there is, and a way to draw from it."""

    def __init__(self):
        NurseryFactory()
        self.by, self.draw = UserFactory(), None
        for code, size in (("A", "#1"), ("B", "#1"), ("T", "tray")):
            plant = Plant.objects.first() or PlantFactory()
            give_price(lot_holding(60, code, size=size, plant=plant, labour="30.00"), "10.00")
        lot_holding(20, "O", labour="7.77")
        PlaceFactory(area_m2=Decimal(40)), PlaceFactory(), BuyerFactory(), BuyerFactory()
        supply_catalogue.add_supply(name="Pots")
        supply_catalogue.add_person(name="Jory", hourly_rate=Decimal(18))
        self._raise_by_a_method()

    def _raise_by_a_method(self):
        """Let there be a method of some steps, and a batch that is raised by it."""
        method = grow.copy_starter(key=next(iter(STARTERS)))
        batch = Batch.objects.order_by("pk").first()
        grow.say_how_raised(batch=batch, treatment=Treatment(method=method))

    def one(self, model, rows=None):
        """Draw a row, or None where there is none."""
        keys = list((model.objects.all() if rows is None else rows).order_by("pk"))
        return self.draw(st.sampled_from(keys)) if keys else None

    def maybe(self, model):
        """Draw a row, or none."""
        return self.one(model) if self.draw(st.booleans()) else None

    def among(self, *words):
        """Draw one of some words."""
        return self.draw(st.sampled_from(words))

    number = property(lambda self: self.draw(NUMBERS))
    amount = property(lambda self: self.draw(AMOUNTS))
    day = property(lambda self: self.draw(DAYS))
    words = property(lambda self: self.draw(WORDS))
    yes = property(lambda self: self.draw(st.booleans()))
    lot = property(lambda self: self.one(Lot))
    buyer = property(lambda self: self.one(Buyer))
    cause = property(lambda self: self.one(LossCause))
    costs = property(lambda self: {self.among(*CATEGORIES): self.amount})

    def size(self):
        """Draw a container."""
        return container(self.among(*SIZES))

    def uses(self):
        """Draw supplies and work that an entry takes."""
        taken = [Use(self.one(Supply), self.amount)] if self.yes else []
        return taken + ([Work(self.one(Person), self.amount)] if self.yes else [])

    def item(self):
        """Draw what is sold."""
        lot = self.lot
        facts = {"lot": lot if self.yes else None, "unit_price": self.amount if self.yes else None}
        return sell.Item(lot.plant, lot.container, self.number, **facts)

    def wanted(self):
        """Draw what is held."""
        lot = self.lot
        facts = {"lot": lot if self.yes else None, "unit_price": self.amount if self.yes else None}
        return sell.Wanted(lot.plant, lot.container, self.number, ahead=self.yes, **facts)


def entry(world) -> dict:
    """Draw the day and the note that most entries have."""
    return {"on": world.day, "note": world.words}


def row(name: str, model):
    """Ask a verb for a row and nothing else."""
    return lambda world: {name: world.one(model)}
