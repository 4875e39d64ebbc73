"""How batches struck: how many rooted of those begun, where the rooted ones were counted.

Rooted is all that began in a lot less what it lost until its last rooted count, so that
plants potted up between two counts are not taken for lost. A lot that several batches began
in is shared between them.
"""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from django.db import connection
from django.db.models import QuerySet

from inventory.queries.ledger_rows import marks, parts
from inventory.statistics.proportions import Tally

STRIKES = """
WITH lots AS (
    SELECT DISTINCT m.to_lot_id AS lot_id
    FROM inventory_movement m
    JOIN inventory_carried k ON k.movement_id = m.id
    WHERE {batches}
), begun AS (
    SELECT m.batch_id, m.to_lot_id AS lot_id, SUM(m.quantity) AS plants
    FROM lots
    JOIN inventory_movement m ON m.to_lot_id = lots.lot_id AND m.kind = 'begun'
    JOIN inventory_carried k ON k.movement_id = m.id
    GROUP BY m.batch_id, m.to_lot_id
), filled AS (
    SELECT lot_id, SUM(plants) AS plants FROM begun GROUP BY lot_id
), last_count AS (
    SELECT lot_id, date, operation_id FROM (
        SELECT c.lot_id, c.date, c.operation_id, ROW_NUMBER() OVER (
            PARTITION BY c.lot_id ORDER BY c.date DESC, c.operation_id DESC) AS place
        FROM lots
        JOIN inventory_count c ON c.lot_id = lots.lot_id
        JOIN inventory_operation o ON o.id = c.operation_id AND o.kind = 'root_count'
        WHERE NOT EXISTS (SELECT 1 FROM inventory_operation u WHERE u.reverses_id = o.id)
    ) ranked WHERE place = 1
), missed AS (
    SELECT c.lot_id, SUM(m.quantity) AS plants
    FROM last_count c
    JOIN inventory_movement m ON m.from_lot_id = c.lot_id
        AND m.kind IN ('lost', 'lost_abnormal')
        AND (m.date, m.operation_id) <= (c.date, c.operation_id)
    JOIN inventory_carried k ON k.movement_id = m.id
    GROUP BY c.lot_id
)
SELECT begun.batch_id, begun.plants, filled.plants,
       CASE WHEN c.lot_id IS NOT NULL THEN filled.plants - COALESCE(missed.plants, 0) END
FROM begun
JOIN filled ON filled.lot_id = begun.lot_id
LEFT JOIN last_count c ON c.lot_id = begun.lot_id
LEFT JOIN missed ON missed.lot_id = begun.lot_id
"""


@dataclass(frozen=True)
class Strike:
    """The cuttings stuck of a batch, and how many of those counted had rooted."""

    stuck: int = 0
    counted: int = 0
    rooted: Fraction | None = None

    @property
    def percent(self) -> Fraction | None:
        """Rooted out of stuck, in the lots whose rooted plants were counted."""
        return 100 * self.rooted / self.counted if self.counted else None

    @property
    def waiting(self) -> int:
        """The cuttings of lots whose rooted plants were not counted yet."""
        return self.stuck - self.counted

    @property
    def tally(self) -> Tally:
        """Rooted of those counted, for statistics; more were never rooted than were stuck."""
        rooted = min(max(self.rooted or 0, 0), self.counted)
        return Tally(float(rooted), self.counted)

    def __add__(self, other: "Strike") -> "Strike":
        known = [one.rooted for one in (self, other) if one.rooted is not None]
        return Strike(
            self.stuck + other.stuck,
            self.counted + other.counted,
            sum(known, Fraction(0)) if known else None,
        )


@dataclass(frozen=True)
class BatchStrike:
    """A batch: what it was begun from and how, by the names of `TOLD`, and its strike."""

    pk: int
    code: str
    started_on: date
    strike: Strike
    told: dict = field(default_factory=dict)


# What is told of a batch and may be what made it strike, by its name here.
TOLD = {
    "plant": "plant__name",
    "plant_key": "plant",
    "treatment": "treatment",
    "hormone": "hormone",
    "hormone_form": "hormone_form",
    "hormone_ppm": "hormone_ppm",
    "wood": "wood",
    "medium": "medium",
    "heat": "bottom_heat_c",
    "stock_plant": "stock_plant__code",
    "taken_by": "taken_by__name",
}


def strikes(batches: Collection[int] | None = None) -> dict[int, Strike]:
    """Return each batch's strike, of all batches with one query, of those named with few."""
    if batches is None:
        return _strikes("m.batch_id IS NOT NULL", ())
    found = dict.fromkeys(batches, Strike())
    for chunk in parts(batches):
        found |= {
            batch: strike
            for batch, strike in _strikes(f"m.batch_id IN ({marks(chunk)})", chunk).items()
            if batch in found
        }
    return found


def struck(batches: QuerySet) -> list[BatchStrike]:
    """Return the batches with what is told of them and their strike, oldest first."""
    found = strikes()
    rows = batches.order_by("started_on", "code").values_list(
        "pk", "code", "started_on", *TOLD.values()
    )
    return [
        BatchStrike(pk, code, day, found[pk], dict(zip(TOLD, told, strict=True)))
        for pk, code, day, *told in rows
        if pk in found
    ]


def _strikes(batches, numbers):
    with connection.cursor() as cursor:
        cursor.execute(STRIKES.format(batches=batches), list(numbers))
        rows = cursor.fetchall()
    found: dict[int, Strike] = defaultdict(Strike)
    for batch, begun, filled, rooted in rows:
        begun, filled = int(begun), int(filled)
        if rooted is None:
            found[batch] += Strike(begun)
        else:
            found[batch] += Strike(begun, begun, Fraction(int(rooted) * begun, filled))
    return dict(found)
