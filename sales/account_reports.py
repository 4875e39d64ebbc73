"""The reports of shared cost: what space was used for, and the account of a batch."""

from datetime import date

from inventory.costing.categories import CATEGORIES
from inventory.errors import LedgerError
from inventory.models import Batch
from inventory.queries.batch_account import BatchAccount, account_of
from inventory.queries.space import space_used

THE_WHOLE = "all"
STAGE_PLANTS = ("came", "lost_normal", "lost_abnormal", "went_on", "sold", "on_hand")


def space_report(*, since: date | None = None, on: date | None = None, **_) -> list[dict]:
    """The space of each place in square metres, and of all; this year unless told otherwise."""
    last = min(on or date.today(), date.today())
    first = min(since or last.replace(month=1, day=1), last)
    used = space_used(first, last)
    return [
        {
            "place": row.place.name if row.place else THE_WHOLE,
            "first_day": first,
            "last_day": last,
            "area": row.area,
            "area_days": row.area_days,
            "used_area_days": row.used_area_days,
            "used_percent": row.used_percent,
            "cost": row.cost,
            "cost_per_area_day": row.cost_per_area_day,
        }
        for row in [*used.rows, used.whole]
    ]


def batch_report(*, batch: str = "", counted: tuple[str, ...] = CATEGORIES, **_) -> list[dict]:
    """A batch's account line by line: what went in, each stage, what a plant cost, earned."""
    if not batch:
        raise LedgerError("Say which batch: --batch CODE.")
    found = Batch.objects.filter(code=batch).first()
    if found is None:
        raise LedgerError(f"There is no batch {batch}.")
    account = account_of(found, counted)
    lines = [*_in(account), *_stages(account), *_all_together(account), *_each(account)]
    names = ("section", "line", "plants", "cost", "each")
    return [{"batch": batch} | dict(zip(names, line, strict=True)) for line in lines]


def _in(account: BatchAccount):
    """Yield what went in by category."""
    for category, amount in account.went_in.items():
        yield "in", category, None, amount, None
    if account.joined_by_blending:
        yield "in", "blending", None, account.joined_by_blending, None


def _stages(account: BatchAccount):
    """Yield each container's plants, and the money that belongs to them."""
    for line in account.lines:
        where = f"stage {line.container.code}"
        money = {
            "came": line.cost_added,
            "lost_normal": line.carried_by_others,
            "lost_abnormal": line.expensed,
            "sold": line.sold_cost,
            "on_hand": line.held_cost,
        }
        for name in STAGE_PLANTS:
            plants = getattr(line, name)
            if plants or money.get(name):
                yield where, name, _whole(plants), money.get(name), None


def _all_together(account: BatchAccount):
    """Yield where all plants and their cost are."""
    for name, cost in (("sold", "sold_cost"), ("on_hand", "held_cost"), ("used", "used_cost")):
        yield "all", name, _whole(account.plants(name)), account.money(cost), None
    yield "all", "lost_normal", _whole(account.plants("lost_normal")), None, None
    lost = _whole(account.plants("lost_abnormal"))
    yield "all", "lost_abnormal", lost, account.money("expensed"), None
    yield "all", "revenue", None, account.revenue, None


def _each(account: BatchAccount):
    """Yield the cost of one plant, and what an hour and a square metre earned."""
    yield "each", "begun", account.begun, None, account.per_begun
    yield "each", "rooted", _whole(account.strike.rooted), None, account.per_rooted
    yield "each", "saleable", _whole(account.saleable), None, account.per_saleable
    yield "each", "own_hour", None, account.earnings, account.per_own_hour
    yield "each", "square_metre_year", None, account.earnings, account.per_square_metre_year


def _whole(number):
    """Return a number of plants as an int where it is one."""
    return int(number) if number is not None and number == int(number) else number
