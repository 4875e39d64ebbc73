"""Lead a new nursery through its first year, ticked by what the ledger holds."""

import calendar
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, Q, Subquery

from inventory.models import CostEntry, Movement, Nursery, Operation, Place
from inventory.models.kept import COST_FIELDS
from inventory.queries.on_hand import in_force
from inventory.queries.to_do import WEEKS_TO_ROOT
from nursery.today import url
from sales.models import Price

Kind = Operation.Kind


@dataclass(frozen=True)
class Way:
    """A page where a step is done, with the words on its button."""

    verb: str
    name: str
    args: tuple = ()
    query: tuple[tuple[str, str], ...] = ()

    @property
    def url(self) -> str:
        return url(self.name, *self.args, **dict(self.query))


@dataclass(frozen=True)
class Step:
    """One step of the year. `key` names what ticks it; {…} in `when` are months."""

    key: str
    title: str
    why: str
    when: str
    ways: tuple[Way, ...]


@dataclass(frozen=True)
class Standing:
    """A step as it stands in this ledger."""

    step: Step
    when: str
    is_done: bool


@dataclass(frozen=True)
class FirstSeason:
    """All steps of the first year, and how far the ledger has come."""

    steps: list[Standing]

    @property
    def done(self) -> int:
        return sum(row.is_done for row in self.steps)

    @property
    def next(self) -> Standing | None:
        return next((row for row in self.steps if not row.is_done), None)


STEPS = (
    Step(
        "named",
        "Name the nursery and its season",
        "The name stands on every paper; the season says how old a plant is and when work is due.",
        "Now. The season is {spring} to {autumn} until you say otherwise.",
        (Way("Settings", "settings"),),
    ),
    Step(
        "opened",
        "Enter what stands there today",
        "Counted once, every plant has a beginning and a fair guess of what it has cost so far.",
        "Now, on a quiet day. Places in your notebook come in with the plants. Nothing there yet? "
        "Stick the first cuttings.",
        (
            Way("Bring your notebook in", "inventory:notebook"),
            Way("Enter by hand", "inventory:begin", ("opening",)),
            Way("Stick cuttings", "inventory:begin", ("stick",)),
        ),
    ),
    Step(
        "placed",
        "Name the places where plants stand",
        "You walk the nursery place by place, and so do the counts, the heat and the losses.",
        "Now: houses, benches, beds, the stand.",
        (Way("Add a place", "inventory:place-add"),),
    ),
    Step(
        "begun",
        "Stick the first batch",
        "A plant remembers its batch for good, so a sold one leads back to its cuttings.",
        "Soft cuttings in early summer, ripe ones and conifers from autumn on; seed and "
        "divisions in their own time.",
        (
            Way("Stick cuttings", "inventory:begin", ("stick",)),
            Way("Sow seed", "inventory:begin", ("sow",)),
        ),
    ),
    Step(
        "spent",
        "Enter what was spent",
        "Medium, pots, heat and hours make what a plant has cost; without them the margin is a "
        "guess.",
        "As it comes: with the entry, or in the evening from the bill.",
        (
            Way("Enter a bill", "inventory:bill-list"),
            Way("Supplies and recipes", "inventory:supply-list"),
        ),
    ),
    Step(
        "rooted",
        "Count what has rooted",
        "The count is the strike, and those that did not root are written off with it.",
        "About {weeks} weeks after sticking; Today names the trays.",
        (Way("Trays that are rooting", "inventory:lot-list", (), (("stage", "rooting"),)),),
    ),
    Step(
        "wintered",
        "Bring them through the winter",
        "One walk with the sheet tells what lives; what was to be expected the others bear.",
        "From {spring} on, when the houses are opened.",
        (
            Way("Write off losses", "inventory:write-off"),
            Way("What you expect to lose", "inventory:expected-losses"),
        ),
    ),
    Step(
        "potted",
        "Pot up",
        "Plants go into a pot for sale, and its cost goes with them.",
        "From {early} on, before growth begins.",
        (Way("Rooted trays", "inventory:lot-list", (), (("stage", "liner"),)),),
    ),
    Step(
        "priced",
        "Set the prices",
        "The stand and the lists for buyers know them, and warn of one below cost.",
        "Before the stand opens.",
        (Way("Prices", "sales:prices"),),
    ),
    Step(
        "sold",
        "Make the first sale",
        "The plants leave the oldest ready lots and take their cost with them.",
        "From {spring} to {autumn}, or whenever somebody stops.",
        (Way("Sell", "sales:sell"),),
    ),
    Step(
        "earned",
        "Look at the margin",
        "What each plant sold brought, less what it had cost with its share of the losses.",
        "After the first sale of plants that have a cost, and after {autumn} for the whole year.",
        (Way("Margin", "sales:margin"),),
    ),
)


def first_season(nursery: Nursery) -> FirstSeason:
    """Return the steps of the first year with what the ledger says of each."""
    ticked = _ticked(nursery)
    spring, autumn = nursery.season_start_month, nursery.season_end_month
    words = {
        "early": calendar.month_name[(spring - 2) % 12 + 1],
        "spring": calendar.month_name[spring],
        "autumn": calendar.month_name[autumn],
        "weeks": WEEKS_TO_ROOT,
    }
    return FirstSeason(
        [Standing(step, step.when.format(**words), step.key in ticked) for step in STEPS]
    )


def _ticked(nursery):
    """Name in one question what the ledger holds already."""
    spring = [(nursery.season_start_month + later - 1) % 12 + 1 for later in range(3)]
    happened = Operation.objects.filter(reversed_by__reverses=None)
    in_spring = happened.filter(date__month__in=spring).order_by("-date").values("date")
    sold = in_force(Movement.objects.filter(kind=Movement.Kind.SOLD))
    costly = Q(*[(f"carried__{name}__gt", 0) for name in COST_FIELDS], _connector=Q.OR)
    known = Nursery.objects.values(
        placed=Exists(Place.objects.all()),
        opened=Exists(happened.filter(kind__in=[Kind.OPENING, Kind.RECEIVE])),
        begun=Exists(happened.filter(kind__in=[Kind.STICK, Kind.SOW, Kind.DIVIDE])),
        spent=Exists(in_force(CostEntry.objects.all())),
        rooted=Exists(happened.filter(kind=Kind.ROOT_COUNT)),
        potted=Exists(happened.filter(kind=Kind.POT_UP)),
        priced=Exists(Price.objects.filter(amount__isnull=False)),
        sold=Exists(sold),
        earned=Exists(sold.filter(costly)),
        began_on=Subquery(happened.order_by("date").values("date")[:1]),
        # Each kind by itself: an index leads from its newest entry backwards.
        lost_on=Subquery(in_spring.filter(kind=Kind.LOSS)[:1]),
        counted_on=Subquery(in_spring.filter(kind=Kind.COUNT)[:1]),
    ).first()
    if known is None:
        return set()
    walks = [day for day in (known.pop("lost_on"), known.pop("counted_on")) if day]
    # A walk counts where plants stood there before that spring began.
    began = known.pop("began_on")
    known["wintered"] = any(began < _spring_before(walk, nursery) for walk in walks)
    known["named"] = bool(nursery.name)
    known["opened"] = known["opened"] or known["begun"]
    return {key for key, is_so in known.items() if is_so}


def _spring_before(day, nursery):
    month = nursery.season_start_month
    return date(day.year - (day.month < month), month, 1)
