"""How long a copy of a long ledger takes, proof and all, and how long an entry waits meanwhile."""

import time
from threading import Thread
from uuid import uuid4

from django.db import connection

from inventory.models import Plant
from tests.benchmarks import opened
from tests.benchmarks.measuring import note, timed
from tests.factories import lot_holding

ALONE = 30


def test_a_copy_of_a_million_movements_while_entries_are_made(ledger, tmp_path):
    path, made = ledger(1_000_000), []
    copying = Thread(target=lambda: made.append(opened.run(path, "backup", "--to", str(tmp_path))))

    with opened.opened(path):
        until = time.monotonic() + ALONE
        alone = entries(lambda: time.monotonic() < until)
        copying.start()
        meanwhile = entries(copying.is_alive)
        copying.join()
        connection.close()

    size = max(file.stat().st_size for file in tmp_path.glob("*.sqlite3"))
    note(f"a copy of 1,000,000 movements ({size / 1e6:,.0f} MB), proved", str(made[0]))
    for name, seconds in (("alone", alone), (f"while copied, of {len(meanwhile)}", meanwhile)):
        seconds.sort()
        usual = seconds[len(seconds) // 2]
        note(f"  an entry {name}: usually, at most", f"{usual:.3f} s, {seconds[-1]:.3f} s")


def entries(go_on) -> list[float]:
    """Enter stickings one after the other, and return how long each took."""
    plant, taken = Plant.objects.first(), []
    while go_on():
        code = f"copied-{uuid4().hex[:12]}"
        taken.append(timed(lambda code=code: lot_holding(5, code, plant=plant)).clock)
        time.sleep(0.05)
    return taken
