"""The rows of plants' lives that survival is worked out from, summed up by the database."""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from django.db import connection
from django.db.models import Min

from inventory.models import Container, Movement, Nursery, Place, Plant
from inventory.queries.ledger_rows import UNDONE

# Winter ends two months into the season: what it killed is written off on a walk in spring.
UNTIL_THE_WALK = 2


class Since(StrEnum):
    """What an age is counted from."""

    POTTED = "potted"
    BEGUN = "begun"


class By(StrEnum):
    """What the plants are parted by."""

    PLANT = "plant"
    CONTAINER = "container"
    PLACE = "place"
    WINTER = "winter"
    NTH = "nth"

    @property
    def is_winter(self) -> bool:
        return self in (By.WINTER, By.NTH)


@dataclass(frozen=True)
class Winter:
    """The days from the end of one growing season until the walk in the next."""

    number: int
    starts: date
    ends: date

    def __str__(self):
        first, last = self.starts.year, self.ends.year
        return str(first) if first == last else f"{first}–{last % 100:02}"


@dataclass(frozen=True)
class Asked:
    """Which plants are looked at, and from when."""

    since: Since = Since.POTTED
    plant: Plant | None = None
    container: Container | None = None
    place: Place | None = None


COUNTS = """
, counts AS (
    SELECT m.to_lot_id AS lot_id, m.date, m.operation_id, m.id, m.quantity AS change
    FROM lots
    JOIN inventory_movement m ON m.to_lot_id = lots.lot_id AND m.kind = 'found'
    JOIN inventory_carried k ON k.movement_id = m.id
    UNION ALL
    SELECT m.from_lot_id, m.date, m.operation_id, m.id, -m.quantity
    FROM lots
    JOIN inventory_movement m ON m.from_lot_id = lots.lot_id
        AND m.kind IN ('lost', 'lost_abnormal') AND m.of_id IS NULL
    JOIN inventory_losscause cause ON cause.id = m.cause_id AND cause.code = 'count'
    JOIN inventory_carried k ON k.movement_id = m.id
), levels AS (
    SELECT counts.*, SUM(change) OVER (
        PARTITION BY lot_id ORDER BY date, operation_id, id) AS level FROM counts
), tops AS (
    SELECT levels.*, MAX(CASE WHEN level > 0 THEN level ELSE 0 END) OVER (
        PARTITION BY lot_id ORDER BY date, operation_id, id) AS unseen FROM levels
), ends AS (
    SELECT tops.*, MIN(unseen - level) OVER (
        PARTITION BY lot_id ORDER BY date DESC, operation_id DESC, id DESC) AS gone FROM tops
), judged AS (
    SELECT lot_id, date,
           unseen - COALESCE(LAG(unseen) OVER (
               PARTITION BY lot_id ORDER BY date, operation_id, id), 0) AS came,
           gone - COALESCE(LAG(gone) OVER (
               PARTITION BY lot_id ORDER BY date, operation_id, id), 0) AS lost
    FROM ends
)
"""
# What a count misses is lost only where no later count of the lot finds it: `level` adds up
# what counts found less what they missed, `unseen` is the most that was found beyond what
# was missed, `gone` what is missing from here on for good.

# Most movements there are stand here: asking for the few that are undone is cheaper than
# looking each one up among those carried.
FLOW = f"""
, flow AS (
    SELECT lots.grp, lots.origin, m.date, m.quantity AS came, 0 AS lost, 0 AS gone
    FROM lots
    JOIN inventory_movement m ON m.to_lot_id = lots.lot_id
        AND m.kind IN ('begun', 'moved', 'returned')
    LEFT JOIN lots other ON other.lot_id = m.from_lot_id
        AND other.origin = lots.origin AND other.grp = lots.grp
    WHERE other.lot_id IS NULL AND m.operation_id NOT IN ({UNDONE})
    UNION ALL
    SELECT lots.grp, lots.origin, m.date, 0,
           CASE WHEN m.cause_id IS NOT NULL AND m.of_id IS NULL THEN m.quantity ELSE 0 END,
           CASE WHEN m.cause_id IS NOT NULL AND m.of_id IS NULL THEN 0 ELSE m.quantity END
    FROM lots
    JOIN inventory_movement m ON m.from_lot_id = lots.lot_id
    LEFT JOIN lots other ON other.lot_id = m.to_lot_id
        AND other.origin = lots.origin AND other.grp = lots.grp
    WHERE other.lot_id IS NULL AND m.operation_id NOT IN ({UNDONE})
        AND (m.cause_id IS NULL OR m.of_id IS NOT NULL OR m.cause_id <> (
            SELECT id FROM inventory_losscause WHERE code = 'count'))
    UNION ALL
    SELECT lots.grp, lots.origin, judged.date, judged.came, judged.lost, 0
    FROM lots JOIN judged ON judged.lot_id = lots.lot_id
    UNION ALL
    SELECT lots.grp, lots.origin,
           CASE WHEN balance.last_on > %s THEN balance.last_on ELSE %s END,
           0, 0, balance.on_hand
    FROM lots JOIN inventory_lotbalance balance ON balance.lot_id = lots.lot_id
    WHERE balance.on_hand > 0
)
"""

# The day plants came into a container, handed on to every lot of it that they went to.
CAME_IN = """
came_in (lot_id, day) AS (
    SELECT m.to_lot_id, CASE WHEN m.kind = 'begun' AND target.transplanted_on < m.date
                             THEN target.transplanted_on ELSE m.date END
    FROM inventory_lot target
    JOIN inventory_movement m ON m.to_lot_id = target.id
    JOIN inventory_carried k ON k.movement_id = m.id
    LEFT JOIN inventory_lot source ON source.id = m.from_lot_id
    WHERE (m.kind = 'begun' OR source.container_id <> target.container_id) {plant}
    UNION
    SELECT m.to_lot_id, came_in.day
    FROM came_in
    JOIN inventory_movement m ON m.from_lot_id = came_in.lot_id AND m.kind = 'moved'
    JOIN inventory_carried k ON k.movement_id = m.id
    JOIN inventory_lot source ON source.id = came_in.lot_id
    JOIN inventory_lot target ON target.id = m.to_lot_id
    WHERE source.container_id = target.container_id
), beginnings AS (
    SELECT lot_id, MIN(day) AS origin FROM came_in GROUP BY lot_id
)
"""
BEGAN = "beginnings AS (SELECT id AS lot_id, began_on AS origin FROM inventory_lot)"

# The place a lot stood at as its first winter began, else where it was first set down.
PLACES = """
    SELECT p.place_id FROM inventory_placement p
    JOIN inventory_operation o ON o.id = p.operation_id AND o.kind <> 'undo'
    WHERE p.lot_id = lot.id
        AND NOT EXISTS (SELECT 1 FROM inventory_operation u WHERE u.reverses_id = o.id)
"""
STOOD = f"""COALESCE(
    ({PLACES} AND p.date <= (SELECT MIN(w.starts) FROM winters w WHERE w.starts >= b.origin)
     ORDER BY p.date DESC, p.operation_id DESC, p.id DESC LIMIT 1),
    ({PLACES} ORDER BY p.date, p.operation_id, p.id LIMIT 1), 0)"""
FIRST_WINTER = "COALESCE((SELECT MIN(w.number) FROM winters w WHERE w.starts >= b.origin), 0)"

LOTS = """
, lots AS (
    SELECT lot.id AS lot_id, {origin} AS origin, {group} AS grp
    FROM inventory_lot lot
    JOIN inventory_container container ON container.id = lot.container_id
    JOIN beginnings b ON b.lot_id = lot.id
    WHERE {chosen}
)
"""
BY_AGE = """
SELECT grp, age, SUM(came), SUM(lost), SUM(gone) FROM (
    SELECT grp, CASE WHEN date > origin THEN {age} ELSE 0 END AS age, came, lost, gone FROM flow
) aged GROUP BY grp, age
"""
# What stands as a winter begins came under watch then; what happened before is no more.
BY_WINTER = """
, days AS (
    SELECT grp, date, SUM(came) AS came, SUM(lost) AS lost, SUM(gone) AS gone
    FROM flow GROUP BY grp, date
)
SELECT grp, number, age, SUM(came), SUM(lost), SUM(gone) FROM (
    SELECT grp, number, 0 AS age, came - lost - gone AS came, 0 AS lost, 0 AS gone
    FROM days JOIN winters ON days.date <= winters.starts
    UNION ALL
    SELECT grp, number, {age}, came, lost, gone
    FROM days JOIN winters ON days.date > winters.starts AND days.date <= winters.ends
) aged GROUP BY grp, number, age
"""
CAUSES = """
SELECT cause.name, SUM(m.quantity)
FROM lots
JOIN inventory_movement m ON m.from_lot_id = lots.lot_id
    AND m.kind IN ('lost', 'lost_abnormal') AND m.of_id IS NULL
JOIN inventory_carried k ON k.movement_id = m.id
JOIN inventory_losscause cause ON cause.id = m.cause_id
GROUP BY cause.name ORDER BY 2 DESC, 1
"""


def rows_by_age(asked: Asked, on: date, group: str = "0") -> list[tuple]:
    """Return (group, age, came, lost, left) of the plants asked for, until the day `on`."""
    head, values = _head(asked, winters_until(on), group)
    return _lived(head, BY_AGE.format(age=_days("date", "origin")), values, on)


def rows_by_winter(asked: Asked, on: date, group: str = "0") -> list[tuple]:
    """Return (group, winter, days since it began, came, lost, left) until the day `on`.

    A winter has one age for all, so that any move between the lots is none.
    """
    head, values = _head(asked, winters_until(on), group, "0")
    return _lived(head, BY_WINTER.format(age=_days("date", "starts")), values, on)


def causes_of_loss(asked: Asked, on: date) -> list[tuple[str, int]]:
    """Return what the plants asked for were lost to, the largest first."""
    head, values = _head(asked, winters_until(on))
    return [(name, int(lost)) for name, lost in _ask(head + CAUSES, values)]


def winters_until(on: date) -> list[Winter]:
    """Return the winters from the first entry on that had begun by a day, in order."""
    first = Movement.objects.aggregate(first=Min("date"))["first"] or on
    nursery = Nursery.current()
    begins = nursery.season_end_month % 12 + 1
    ends = (nursery.season_start_month + UNTIL_THE_WALK - 1) % 12 + 1
    winters = []
    for year in range(first.year - 1, on.year + 1):
        starts = date(year, begins, 1)
        last = date(year + (ends <= begins), ends, 1) - timedelta(days=1)
        if last >= first and starts <= on:
            winters.append(Winter(len(winters) + 1, starts, last))
    return winters


def _head(asked, winters, group="0", origin="b.origin"):
    """Return the statement up to its lots, with the values it needs."""
    kind = "text" if connection.vendor == "sqlite" else "date"  # the one keeps days as text
    row = f"SELECT %s, CAST(%s AS {kind}), CAST(%s AS {kind})"
    rows = " UNION ALL ".join([row] * len(winters)) or f"{row} WHERE 1 = 0"
    values: list = [value for w in winters for value in (w.number, w.starts, w.ends)]
    values = values or [0, None, None]
    beginnings = BEGAN
    if asked.since == Since.POTTED:
        of_plant = "AND target.plant_id = %s" if asked.plant else ""
        beginnings = CAME_IN.format(plant=of_plant)
        values += [asked.plant.pk] if asked.plant else []
    chosen, more = _chosen(asked)
    head = f"WITH RECURSIVE winters (number, starts, ends) AS ({rows}), {beginnings}"
    return head + LOTS.format(group=group, origin=origin, chosen=chosen), [*values, *more]


def _chosen(asked):
    conditions, values = [], []
    if asked.plant:
        conditions.append("lot.plant_id = %s")
        values.append(asked.plant.pk)
    if asked.container:
        conditions.append("lot.container_id = %s")
        values.append(asked.container.pk)
    elif asked.since == Since.POTTED:
        conditions.append("container.kind = 'sale'")
    if asked.place:
        conditions.append(f"{STOOD} = %s")
        values.append(asked.place.pk)
    return " AND ".join(conditions) or "1 = 1", values


def _days(later, earlier):
    """Return the days between two days, in SQL."""
    if connection.vendor == "sqlite":
        return f"CAST(julianday({later}) - julianday({earlier}) AS integer)"
    return f"({later} - {earlier})"


def _lived(head, end, values, on):
    return _ask(head + COUNTS + FLOW + end, [*values, on, on])


def _ask(statement, values):
    with connection.cursor() as cursor:
        cursor.execute(statement, values)
        return cursor.fetchall()
