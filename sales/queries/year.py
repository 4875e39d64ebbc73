"""A year of plants and their cost: what was there, what came, what went, what is left."""

from collections import defaultdict
from dataclasses import dataclass, fields
from datetime import date, timedelta
from decimal import Decimal

from django.db import connection

from inventory.costing.categories import CATEGORIES, cost_of
from inventory.models import Batch, Container, CostEntry, Lot, Movement, Plant
from inventory.queries.borne_by_none import borne_by_none
from inventory.queries.holdings import holdings
from inventory.queries.ledger_rows import UNDONE, carried_cost
from inventory.queries.on_hand import in_force
from nursery.money import from_millionths

MOVED = """
SELECT m.kind, batch.kind, leaving.plant_id, leaving.container_id,
       joining.plant_id, joining.container_id, SUM(m.quantity), SUM({cost})
FROM inventory_movement m JOIN inventory_carried c ON c.movement_id = m.id
LEFT JOIN inventory_lot leaving ON leaving.id = m.from_lot_id
LEFT JOIN inventory_lot joining ON joining.id = m.to_lot_id
LEFT JOIN inventory_batch batch ON batch.id = m.batch_id
WHERE m.date >= %s AND m.date <= %s
GROUP BY m.kind, batch.kind, leaving.plant_id, leaving.container_id,
         joining.plant_id, joining.container_id
"""
ENTERED = f"""
SELECT lot.plant_id, lot.container_id, SUM(e.amount),
       SUM(CASE WHEN u.entry_id IS NULL THEN 0 ELSE e.amount END)
FROM inventory_costentry e JOIN inventory_lot lot ON lot.id = e.lot_id
LEFT JOIN inventory_uncarriedcost u ON u.entry_id = e.id
WHERE e.date >= %s AND e.date <= %s AND e.operation_id NOT IN ({UNDONE})
  AND e.category IN ({{counted}})
GROUP BY lot.plant_id, lot.container_id
"""
Kind = Movement.Kind
# Where plants of a movement are counted, and, for those that leave, where their cost goes.
OUTLETS = {
    Kind.SOLD: ("sold", "cost_of_sales"),
    Kind.RETURNED: ("sold", "cost_of_sales"),
    Kind.LOST: ("lost", "expensed"),
    Kind.LOST_ABNORMAL: ("lost", "expensed"),
    Kind.USED: ("used", "expensed"),
    Kind.GIVEN: ("given", "expensed"),
}


class _InUnits:
    """An amount that a row keeps in millionths, in the currency unit."""

    def __set_name__(self, owner, name):
        self.name = f"{name}_millionths"

    def __get__(self, row, owner=None):
        return self if row is None else from_millionths(getattr(row, self.name))


@dataclass
class YearSums:
    """Plants, and cost in millionths, of one plant and container or of all.

    Sold is net of returns. `moved_cost` is what plants potted up or moved between
    containers brought in, less what they took along.
    """

    opening_plants: int = 0
    started: int = 0
    bought: int = 0
    found: int = 0
    potted_in: int = 0
    potted_out: int = 0
    sold: int = 0
    lost: int = 0
    used: int = 0
    given: int = 0
    closing_plants: int = 0
    opening_cost_millionths: int = 0
    cost_added_millionths: int = 0
    cost_of_sales_millionths: int = 0
    expensed_millionths: int = 0
    moved_cost_millionths: int = 0
    closing_cost_millionths: int = 0

    opening_cost = _InUnits()
    cost_added = _InUnits()
    cost_of_sales = _InUnits()
    expensed = _InUnits()
    moved_cost = _InUnits()
    closing_cost = _InUnits()

    @property
    def begun(self) -> int:
        """All that came in from outside: started here, bought in, or found by a count."""
        return self.started + self.bought + self.found

    @property
    def used_or_given(self) -> int:
        return self.used + self.given

    @property
    def plants_difference(self) -> int:
        """Plants that are nowhere: none, where the ledger is right."""
        came = self.opening_plants + self.begun + self.potted_in
        went = self.potted_out + self.sold + self.lost + self.used + self.given
        return came - went - self.closing_plants

    @property
    def cost_difference(self) -> Decimal:
        """Cost that is nowhere: nothing, where the ledger is right."""
        came = (
            self.opening_cost_millionths + self.cost_added_millionths + self.moved_cost_millionths
        )
        went = self.cost_of_sales_millionths + self.expensed_millionths
        return from_millionths(came - went - self.closing_cost_millionths)

    def add(self, name: str, number: int) -> None:
        """Add plants or millionths under one heading."""
        setattr(self, name, getattr(self, name) + number)


@dataclass
class YearRow(YearSums):
    """The year of one plant in one container; of neither, the cost that no lot bears."""

    plant: Plant | None = None
    container: Container | None = None


def whole_span(since: date | None, until: date | None) -> tuple[date, date]:
    """Return both ends of a span: up to today, from the first of January, unless given."""
    last = until or max(date.today(), since or date.min)
    return since or last.replace(month=1, day=1), last


def year_rows(since: date, on: date, counted: tuple[str, ...] = CATEGORIES) -> list[YearRow]:
    """Return the year by plant and container, both days included.

    Its cost is that of the categories `counted`: PAID leaves the grower's own time out.
    """
    sums: dict[tuple, YearRow] = defaultdict(YearRow)
    lots = {pk: group for pk, *group in Lot.objects.values_list("pk", "plant_id", "container_id")}
    for day, name in ((since - timedelta(days=1), "opening"), (on, "closing")):
        for lot, held in holdings(day).items():
            row = sums[tuple(lots[lot])]
            row.add(f"{name}_plants", held[0])
            row.add(f"{name}_cost_millionths", cost_of(held, counted))
    for record in _query(MOVED.format(cost=carried_cost(counted)), since, on):
        _add_movement(sums, *record)
    entered = ENTERED.format(counted=", ".join(f"'{category}'" for category in counted))
    for plant, container, amount, uncarried in _query(entered, since, on):
        sums[plant, container].add("cost_added_millionths", int(amount))
        sums[plant, container].add("expensed_millionths", int(uncarried))
    for _, _, amount in _unborne(since, on, counted):
        sums[None, None].add("cost_added_millionths", amount)
        sums[None, None].add("expensed_millionths", amount)
    return _named(sums)


def in_all(rows: list[YearRow]) -> YearSums:
    """Return the sum of every column."""
    total = YearSums()
    for row in rows:
        for field in fields(YearSums):
            total.add(field.name, getattr(row, field.name))
    return total


def costs_by_month(
    since: date, on: date, counted: tuple[str, ...] = CATEGORIES
) -> dict[date, dict[str, Decimal]]:
    """Return {first of the month: {category: cost put in}} for the months that had any."""
    entries = in_force(CostEntry.objects.filter(date__range=(since, on), category__in=counted))
    months: dict[date, dict[str, Decimal]] = {}
    unborne = [(*row[:2], from_millionths(row.amount)) for row in _unborne(since, on, counted)]
    for day, category, amount in [*entries.values_list("date", "category", "amount"), *unborne]:
        month = months.setdefault(day.replace(day=1), dict.fromkeys(counted, Decimal(0)))
        month[category] += amount
    return dict(sorted(months.items()))


def _unborne(since, on, counted):
    return [row for row in borne_by_none(since, on) if row.category in counted]


def _add_movement(sums, kind, batch, *rest):
    leaving, joining = tuple(rest[:2]), tuple(rest[2:4])
    quantity, cost = int(rest[4]), int(rest[5])
    if kind == Kind.MOVED:
        if leaving != joining:
            sums[leaving].add("potted_out", quantity)
            sums[joining].add("potted_in", quantity)
            sums[leaving].add("moved_cost_millionths", -cost)
            sums[joining].add("moved_cost_millionths", cost)
    elif kind in OUTLETS:
        plants, money = OUTLETS[kind]
        group, sign = (joining, -1) if kind == Kind.RETURNED else (leaving, 1)
        sums[group].add(plants, sign * quantity)
        sums[group].add(f"{money}_millionths", sign * cost)
    elif kind == Kind.FOUND:
        sums[joining].add("found", quantity)
    else:
        sums[joining].add("bought" if batch == Batch.Kind.RECEIVE else "started", quantity)


def _named(sums):
    plants, containers = Plant.objects.in_bulk(), Container.objects.in_bulk()
    for (plant, container), row in sums.items():
        row.plant, row.container = plants.get(plant), containers.get(container)
    rows = [row for row in sums.values() if any(getattr(row, f.name) for f in fields(YearSums))]
    return sorted(rows, key=_order)


def _order(row):
    """Stand by plant and container, and last what no lot bears."""
    if row.plant is None:
        return 1, "", 0, ""
    return 0, row.plant.search_key, row.container.position, row.container.code


def _query(statement, since, on):
    with connection.cursor() as cursor:
        cursor.execute(statement, [since, on])
        return cursor.fetchall()
