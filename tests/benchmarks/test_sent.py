"""How long a phone's queue takes to be booked, and the stand's data as history grows."""

import json
import shutil
from uuid import uuid4

from django.contrib.auth import get_user_model
from django.test import Client
from django.utils import timezone

from inventory.models import LotBalance
from sales.operations import Item, sell
from sales.queries.prices import PriceBook
from tests.benchmarks.conftest import SIZES
from tests.benchmarks.filling import TODAY
from tests.benchmarks.measuring import median, note, timed
from tests.benchmarks.opened import opened

QUEUED, AT_ONCE = 500, 20


def copy_of(ledger, size, folder):
    """Return a ledger that may be sold from."""
    return shutil.copy(ledger(size), folder / f"{size}.sqlite3")


def test_five_hundred_queued_sales_are_booked(ledger, tmp_path):
    with opened(copy_of(ledger, SIZES[0], tmp_path)):
        client, user = somebody()
        lots = lots_for_sale()
        direct = timed(lambda: [sell_one(lots[n % len(lots)]) for n in range(QUEUED)])
        rows = [row_of(lots[n % len(lots)], user) for n in range(QUEUED)]
        queued = timed(lambda: send_all(client, rows))

    note(f"{QUEUED} sales booked directly", direct)
    note(f"{QUEUED} sales sent from a queue and booked", queued)
    note("  ratio", queued / direct, "1.5 or less")


def test_the_stand_opens_as_fast_with_a_long_history(ledger, tmp_path):
    page, data = {}, {}
    for size in SIZES:
        with opened(copy_of(ledger, size, tmp_path)):
            data[size], page[size] = (times_of(path) for path in ("/sell/data.json", "/sell/"))

    longest, shortest = SIZES[-1], SIZES[0]
    for name, found in (("data", data), ("page", page)):
        growth = median(found[longest]) / median(found[shortest])
        note(f"the stand's {name}, growth from {shortest:,} to {longest:,}", growth, "1.2 or less")


def times_of(path):
    client, _ = somebody()
    client.get(path)
    return [timed(lambda: client.get(path, follow=True)) for _ in range(8)]


def somebody():
    client = Client()
    user = get_user_model().objects.create(username=str(uuid4()), is_superuser=True)
    client.force_login(user)
    return client, user


def lots_for_sale():
    held = LotBalance.objects.filter(on_hand__gt=20, lot__container__kind="sale")
    priced = PriceBook(TODAY)
    lots = [row.lot for row in held.select_related("lot__plant", "lot__container")]
    return [lot for lot in lots if priced.amount(lot.plant_id, lot.container_id)]


def sell_one(lot):
    items = [Item(lot.plant, lot.container, 1)]
    sell(items=items, on=timezone.localdate(), paid_by="cash", request_id=uuid4())


def row_of(lot, user):
    item = {"plant": lot.plant_id, "container": lot.container_id, "quantity": 1}
    return {
        "request": str(uuid4()),
        "at": timezone.now().isoformat(),
        "seller": {"key": user.pk, "name": user.username},
        "paid_by": "cash",
        "items": [item | {"grade": lot.grade, "price": "10.00", "reason": "stand list"}],
    }


def send_all(client, rows):
    for first in range(0, len(rows), AT_ONCE):
        body = json.dumps({"sales": rows[first : first + AT_ONCE]})
        results = client.post("/sell/send/", body, content_type="application/json").json()
        assert all("url" in one for one in results["results"]), results
