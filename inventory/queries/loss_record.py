"""What the nursery's own record says: how many plants of a stage were lost in it.

A plant starts a stage of a lot where it begins there or comes from another container. A
move or a blend between like lots is no new start, so that no plant counts twice in one
pot size. Started counts where the lot has left the stage:

- rooting: up to its last rooted count; where none was made, once the tray is empty.
- liner: what the rooted count left, or came rooted; once the tray is empty.
- growing: what came into a container for sale; once the lot is empty, or a year after
  its first plants came.

Lost is every loss, expected or beyond it. An undone entry carries no plants and is left
out. A count that finds fewer lost them, whoever saw it. One that finds more first takes
back what earlier counts of the same lot and stage had missed; the rest started there
unseen. Sold plants that come back started once already; where they are discarded, they
left the stage alive and are no loss of it.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db import connection

from inventory.models import ExpectedLoss, Plant
from inventory.statistics.learning import Beta
from inventory.statistics.proportions import Tally
from nursery.money import round_half_up

A_YEAR = timedelta(days=365)
Stage = ExpectedLoss.Stage
# Common practice, from memory: one cutting in five fails to root; of rooted liners
# to plants for sale one to one and a half in ten is lost.
COMMON_PRACTICE = {
    Stage.ROOTING.value: Decimal(20),
    Stage.LINER.value: Decimal(5),
    Stage.GROWING.value: Decimal(10),
}
WEIGHT = 40  # plants: what was thought beforehand counts as much as so many of one's own
SURE_LOSS = Decimal("99.5")

BY_LOT = """
WITH last_count AS (
    SELECT lot_id, date, operation_id FROM (
        SELECT c.lot_id, c.date, c.operation_id, ROW_NUMBER() OVER (
            PARTITION BY c.lot_id ORDER BY c.date DESC, c.operation_id DESC) AS place
        FROM inventory_count c
        JOIN inventory_operation o ON o.id = c.operation_id AND o.kind = 'root_count'
        WHERE NOT EXISTS (SELECT 1 FROM inventory_operation u WHERE u.reverses_id = o.id)
    ) ranked WHERE place = 1
), flow AS (
    SELECT m.to_lot_id AS lot_id, m.date, m.operation_id, m.date AS came_on,
           CASE WHEN b.kind IN ('stick', 'sow', 'divide') THEN 1 ELSE 0 END AS unrooted,
           CASE WHEN m.kind = 'begun' OR source.container_id <> target.container_id
                THEN m.quantity ELSE 0 END AS came,
           CASE WHEN m.kind = 'found' THEN m.quantity ELSE 0 END AS found,
           0 AS lost, 0 AS missed
    FROM inventory_movement m
    JOIN inventory_carried k ON k.movement_id = m.id
    JOIN inventory_lot target ON target.id = m.to_lot_id
    LEFT JOIN inventory_lot source ON source.id = m.from_lot_id
    LEFT JOIN inventory_batch b ON b.id = m.batch_id
    UNION ALL
    SELECT m.from_lot_id, m.date, m.operation_id, NULL, 0, 0, 0, m.quantity,
           CASE WHEN cause.code = 'count' THEN m.quantity ELSE 0 END
    FROM inventory_movement m
    JOIN inventory_carried k ON k.movement_id = m.id
    JOIN inventory_losscause cause ON cause.id = m.cause_id
    WHERE m.kind IN ('lost', 'lost_abnormal') AND m.of_id IS NULL
), lots AS (
    SELECT lot_id, MAX(unrooted) AS unrooted, MIN(came_on) AS came_on FROM flow GROUP BY lot_id
), parts AS (
    SELECT flow.lot_id, lot.plant_id, c.lot_id AS counted,
           CASE WHEN container.kind = 'sale' THEN 'growing'
                WHEN c.lot_id IS NULL AND lots.unrooted = 1 THEN 'rooting'
                WHEN (flow.date, flow.operation_id) <= (c.date, c.operation_id) THEN 'rooting'
                ELSE 'liner' END AS stage,
           CASE WHEN balance.on_hand = 0 THEN 1 ELSE 0 END AS is_empty,
           CASE WHEN lots.came_on <= %s THEN 1 ELSE 0 END AS is_old,
           flow.came, flow.found, flow.lost, flow.missed
    FROM flow
    JOIN lots ON lots.lot_id = flow.lot_id
    JOIN inventory_lot lot ON lot.id = flow.lot_id
    JOIN inventory_container container ON container.id = lot.container_id
    JOIN inventory_lotbalance balance ON balance.lot_id = flow.lot_id
    LEFT JOIN last_count c ON c.lot_id = flow.lot_id
), sums AS (
    SELECT lot_id, plant_id, counted, stage, is_empty, is_old, SUM(came) + SUM(found) AS started,
           SUM(lost) AS lost,
           CASE WHEN SUM(found) < SUM(missed) THEN SUM(found) ELSE SUM(missed) END AS back
    FROM parts GROUP BY lot_id, plant_id, counted, stage, is_empty, is_old
), stages AS (
    SELECT lot_id, plant_id, stage, started - back AS started, lost - back AS lost
    FROM sums
    WHERE is_empty = 1 OR (stage = 'growing' AND is_old = 1)
       OR (stage = 'rooting' AND counted IS NOT NULL)
    UNION ALL
    SELECT lot_id, plant_id, 'liner', started - lost, 0
    FROM sums WHERE stage = 'rooting' AND counted IS NOT NULL AND is_empty = 1
), by_lot AS (
    SELECT lot_id, plant_id, stage, SUM(started) AS started, SUM(lost) AS lost
    FROM stages GROUP BY lot_id, plant_id, stage
)
"""
RECORD = f"""{BY_LOT}
SELECT plant_id, stage, SUM(started), SUM(lost), COUNT(*)
FROM by_lot WHERE started <> 0 OR lost <> 0
GROUP BY plant_id, stage
"""
EACH_LOT = f"""{BY_LOT}
SELECT plant_id, stage, started, lost FROM by_lot WHERE lost >= 0 AND started >= lost
"""


@dataclass(frozen=True)
class Record:
    """Plants that started a stage, those lost in it, and the lots they were in."""

    started: int = 0
    lost: int = 0
    lots: int = 0

    def known(self, expected: Decimal) -> Beta:
        """Return what is known of the share that lives, from an expected loss in percent on.

        Plants that were moved may be lost in a lot that has left the stage while the lot
        they started in has not: no more than all are ever lost.
        """
        started = max(self.started, self.lost, 0)
        thought = min(max(expected, 100 - SURE_LOSS), SURE_LOSS)
        before = Beta.thought(1 - float(thought) / 100, WEIGHT)
        return before.after(Tally(started - max(self.lost, 0), started))

    def __add__(self, other: "Record") -> "Record":
        return Record(self.started + other.started, self.lost + other.lost, self.lots + other.lots)


@dataclass(frozen=True)
class RecordRow:
    """What is expected of one stage, of one plant or of all, beside what was."""

    stage: str
    record: Record
    expected: Decimal | None
    plant: Plant | None = None
    general: Decimal | None = None

    @property
    def key(self) -> str:
        """The row's name on the page: its stage, and the plant's number."""
        return f"{self.stage}-{self.plant.pk}" if self.plant else self.stage

    @property
    def words(self) -> str:
        return Stage(self.stage).label

    @property
    def lives(self) -> Beta:
        """What is learnt of the share that lives."""
        return self.record.known(self.default)

    @property
    def percent(self) -> Decimal:
        """The loss learnt, in percent to a tenth."""
        return round_half_up(Decimal(str(100 * (1 - self.lives.mean))), 1)

    @property
    def likely(self) -> tuple[float, float]:
        """The bounds of the loss, in percent."""
        low, high = self.lives.interval()
        return 100 * (1 - high), 100 * (1 - low)

    @property
    def begins(self) -> str:
        """Say where the default comes from."""
        return "As of all plants" if self.has_general else "Common practice"

    @property
    def default(self) -> Decimal:
        """The loss it begins from: that of all plants, or what is common practice."""
        return self.general if self.has_general else COMMON_PRACTICE[self.stage]

    @property
    def has_general(self) -> bool:
        return self.plant is not None and self.general is not None

    @property
    def is_taken(self) -> bool:
        return self.expected is not None and self.expected == self.percent


def loss_record(on: date) -> dict[tuple[int | None, str], Record]:
    """Return {(plant, stage): record}, the plant None for all, as it stands on the day `on`."""
    with connection.cursor() as cursor:
        cursor.execute(RECORD, [on - A_YEAR])
        found = {
            (plant, stage): Record(int(started), int(lost), lots)
            for plant, stage, started, lost, lots in cursor.fetchall()
        }
    for (_, stage), record in list(found.items()):
        found[None, stage] = found.get((None, stage), Record()) + record
    return found


def record_of_lots(on: date) -> Iterator[tuple[int, str, int, int]]:
    """Yield the plant, the stage, and how many started and were lost in it, lot by lot."""
    with connection.cursor() as cursor:
        cursor.execute(EACH_LOT, [on - A_YEAR])
        for plant, stage, started, lost in cursor.fetchall():
            yield plant, stage, int(started), int(lost)


def record_rows(on: date) -> list[RecordRow]:
    """Return a row for each stage of all plants, then for each plant with record or number."""
    records = loss_record(on)
    expected = {
        (plant, stage): percent
        for plant, stage, percent in ExpectedLoss.objects.values_list(
            "plant_id", "stage", "percent"
        )
    }
    return [
        RecordRow(
            stage, records.get(key, Record()), expected.get(key), plant, expected.get((None, stage))
        )
        for plant in [None, *_plants(records | expected)]
        for stage in Stage.values
        if (key := (plant and plant.pk, stage)) in records or key in expected or not plant
    ]


def _plants(keys: Iterable[tuple[int | None, str]]):
    return Plant.objects.filter(pk__in={plant for plant, _ in keys if plant})
