"""What each screen costs on ledgers of growing length, on either engine.

A line is `milliseconds by the clock / of the processor / questions` for each length. On
PostgreSQL the processor's time is this process's and the server's together.
"""

import os
from collections.abc import Callable
from functools import partial
from uuid import uuid4

import pytest
from django.contrib.auth import get_user_model
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inventory.models import Batch, LotBalance
from sales.models import Buyer, Document
from tests.benchmarks.conftest import SIZES
from tests.benchmarks.filling import TODAY
from tests.benchmarks.measuring import Times, least, note, timed
from tests.benchmarks.on_server import processor_seconds
from tests.benchmarks.opened import opened

DAILY = {
    "Today": "/",
    "sell": "/sell/?plain=yes",
    "sell, its data": "/sell/data.json",
    "free to sell": "/availability/",
    "lots": "/lots/",
    "lots, the last page": "/lots/?page=last",
    "a lot": "/lots/{lot}/",
    "a batch": "/batches/{batch}/",
    "batches": "/batches/",
    "a plant": "/plants/{plant}/",
    "entries": "/entries/",
    "entries, a thousand pages on": "/entries/?page=1000",
    "search": "/search/?q=buxus",
    "search for a lot": "/search/?q={code}",
    "search for an invoice": "/search/?q={number}",
    "buyers": "/buyers/",
    "a buyer": "/buyers/{buyer}/",
    "a statement": "/buyers/{buyer}/statement/",
    "invoices": "/invoices/",
    "invoices of a buyer": "/invoices/?buyer={buyer}",
    "an invoice": "/invoices/{document}/",
    "owed by age": "/invoices/owed/",
    "holds": "/holds/",
    "prices": "/prices/",
    "work list": "/work/",
}
YEARLY = {
    "margin": "/books/margin/",
    "losses": "/books/losses/",
    "stock at cost": "/books/valuation/",
    "year": "/books/year/",
    "journal": "/books/journal/",
    "tax": "/books/tax/",
    "space": "/books/space/",
    "demand": "/books/demand/",
    "conservation": "/books/conservation/",
}
SCREENS = DAILY | YEARLY
LENGTHS = tuple(int(size) for size in os.environ.get("NURSERY_LENGTHS", "").split(",") if size) or (
    *SIZES,
    10_000_000,
)
TRIES = 3
# What takes as long is measured once.
LONG = 5


@pytest.mark.parametrize("screen", SCREENS)
def test_a_screen(screen, ledger):
    def asked(client, names):
        answer = client.get(SCREENS[screen].format(**names), follow=True)
        assert answer.status_code == 200, screen

    note(screen, " | ".join(cost(ledger(size), asked) for size in LENGTHS))


def test_the_save_of_a_sale(ledger):
    def sell(client, names):
        typed = {f"n-{names['plant']}-{names['size']}": "1", "paid_by": "cash", "on": TODAY}
        with transaction.atomic():
            answer = client.post("/sell/", typed | {"request_id": uuid4(), "buyer": names["buyer"]})
            assert answer.status_code == 302, answer.content.decode()
            transaction.set_rollback(True)

    note("the save of a sale", " | ".join(cost(ledger(size), sell) for size in LENGTHS))


def cost(place, act: Callable) -> str:
    """Return what an act costs on one ledger, the first time left out."""
    with opened(place):
        client, names = someone(), named()
        with CaptureQueriesContext(connection) as asked:
            first = with_server(partial(act, client, names))
        questions = len(asked)
        tries = TRIES if first.clock < LONG else 0
        best = least([first, *(with_server(partial(act, client, names)) for _ in range(tries))])
        return f"{1000 * best.clock:.0f} / {1000 * best.processor:.0f} / {questions}"


def with_server(act: Callable) -> Times:
    """Do something once; what the database's server worked meanwhile counts as processor."""
    before = processor_seconds()
    took = timed(act)
    return Times(took.clock, took.processor + processor_seconds() - before)


def someone() -> Client:
    """Log an owner in."""
    accounts = get_user_model().objects
    owner = accounts.filter(username="measuring").first()
    owner = owner or accounts.create_superuser("measuring", password="not asked for here")
    client = Client()
    client.force_login(owner, "django.contrib.auth.backends.ModelBackend")
    return client


def named() -> dict[str, object]:
    """Name a lot that stands and what it is, a buyer, and the newest sale."""
    standing = LotBalance.objects.filter(on_hand__gt=0, lot__container__kind="sale")
    lot = standing.latest("lot_id").lot
    sale = Document.objects.filter(kind="sale").latest("pk")
    return {
        "lot": lot.pk,
        "code": lot.code,
        "plant": lot.plant_id,
        "size": lot.container_id,
        "batch": Batch.objects.latest("pk").pk,
        "buyer": Buyer.objects.first().pk,
        "document": sale.pk,
        "number": sale.number,
    }
