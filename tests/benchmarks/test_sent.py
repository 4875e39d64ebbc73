"""How long a phone's queue takes to be booked, and the stand's data as history grows.

The stand shows what stands: the same 80 lots in each ledger. It reads of the history only the
sales of a year, about as many in each, to put first what sells most.
"""

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
ROUNDS, EACH = 6, 4


def copy_of(ledger, size, folder):
    """Return a ledger that may be sold from."""
    return shutil.copy(ledger(size), folder / f"{size}.sqlite3")


def test_five_hundred_queued_sales_are_booked(ledger, tmp_path):
    with opened(copy_of(ledger, SIZES[0], tmp_path)):
        client, user = somebody()
        lots = lots_for_sale()
        direct, queued = [], []
        # In turns, so that whatever else the machine does falls on both alike.
        for first in range(0, QUEUED, AT_ONCE):
            some = [lots[n % len(lots)] for n in range(first, first + AT_ONCE)]
            rows = [row_of(lot, user) for lot in some]
            direct.append(timed(lambda some=some: [sell_one(lot) for lot in some]))
            queued.append(timed(lambda rows=rows: send(client, rows)))

    note(f"{AT_ONCE} of {QUEUED} sales booked directly", median(direct))
    note(f"{AT_ONCE} of {QUEUED} sales sent from a queue and booked", median(queued))
    note("  ratio", median(queued) / median(direct), "1.5 or less")


def test_the_stand_opens_as_fast_with_a_long_history(ledger, tmp_path):
    copies = {size: copy_of(ledger, size, tmp_path) for size in SIZES}
    data, page = ({size: [] for size in SIZES} for _ in range(2))
    for _ in range(ROUNDS):
        for size, path in copies.items():
            with opened(path):
                data[size] += times_of("/sell/data.json")
                page[size] += times_of("/sell/")

    for name, found in (("data", data), ("page", page)):
        for size in SIZES:
            note(f"the stand's {name}, {size:,} movements", median(found[size]))
        growth = median(found[SIZES[-1]]) / median(found[SIZES[0]])
        note("  growth from the first to the last", growth, "1.2 or less")


def times_of(path):
    client, _ = somebody()
    client.get(path)
    return [timed(lambda: client.get(path, follow=True)) for _ in range(EACH)]


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


def send(client, rows):
    body = json.dumps({"sales": rows})
    results = client.post("/sell/send/", body, content_type="application/json").json()
    assert all("url" in one for one in results["results"]), results
