"""What the pages about rooting and survival ask of a long history.

Each is measured beside a bare `fetchall` of every movement, in turns on each ledger.
"""

from datetime import date

from django.db import connection

from inventory.models import Batch, Plant
from inventory.queries.strikes import struck
from inventory.queries.survival import survivors, together
from inventory.queries.survival_rows import Asked, By
from tests.benchmarks.conftest import SIZES
from tests.benchmarks.measuring import median, note, timed
from tests.benchmarks.opened import opened

ROUNDS = 3
BARE = "SELECT id, date, kind, from_lot_id, to_lot_id, quantity FROM inventory_movement"


def test_strikes_and_lives_grow_with_the_history_they_read(ledger):
    for size in SIZES:
        with opened(ledger(size)):
            measure(size)


def measure(size):
    one, today = Plant.objects.order_by("pk").first(), date.today()
    asked = {
        "strikes of every batch": lambda: struck(Batch.objects.all()),
        "lives of all plants": lambda: survivors(Asked(), By.PLANT, today),
        "winters of all plants": lambda: survivors(Asked(), By.WINTER, today),
        "lives of one plant": lambda: together(Asked(plant=one), today),
    }
    times = {name: [] for name in ("bare", *asked)}
    for _ in range(ROUNDS):
        times["bare"].append(timed(read_all))
        for name, act in asked.items():
            times[name].append(timed(act))
    bare = median(times.pop("bare"))
    for name, taken in times.items():
        note(f"{name}, {size:,} movements", median(taken))
        note("  ÷ reading every movement", median(taken) / bare)


def read_all():
    with connection.cursor() as cursor:
        cursor.execute(BARE)
        return len(cursor.fetchall())
