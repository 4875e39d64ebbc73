"""What each screen costs on ledgers of growing length: processor time and questions asked."""

from functools import partial

import pytest
from django.contrib.auth import get_user_model
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inventory.models import LotBalance
from sales.models import Buyer, Document
from tests.benchmarks.conftest import SIZES
from tests.benchmarks.measuring import least, note, timed
from tests.benchmarks.opened import opened

SCREENS = {
    "Today": "/",
    "sell": "/sell/",
    "free to sell": "/availability/",
    "lots": "/lots/",
    "a lot": "/lots/{lot}/",
    "entries": "/entries/",
    "search": "/search/?q=buxus",
    "buyers": "/buyers/",
    "a buyer": "/buyers/{buyer}/",
    "invoices": "/invoices/",
    "an invoice": "/invoices/{document}/",
    "owed by age": "/invoices/owed/",
    "holds": "/holds/",
    "prices": "/prices/",
    "work list": "/work/",
    "margin": "/books/margin/",
    "losses": "/books/losses/",
    "stock at cost": "/books/valuation/",
    "year": "/books/year/",
    "journal": "/books/journal/",
}
TRIES = 3


@pytest.mark.parametrize("screen", SCREENS)
def test_a_screen(screen, ledger):
    for size in SIZES:
        with opened(ledger(size)):
            client, address = someone(), SCREENS[screen].format(**named())
            with CaptureQueriesContext(connection) as asked:
                answer = client.get(address, follow=True)
            assert answer.status_code == 200, address
            best = least(timed(partial(client.get, address, follow=True)) for _ in range(TRIES))
            words = f"{1000 * best.processor:.0f} ms of the processor, {len(asked)} questions"
            note(f"{screen}, {size:,} movements", words)


def someone() -> Client:
    """Log an owner in."""
    accounts = get_user_model().objects
    owner = accounts.filter(username="measuring").first()
    owner = owner or accounts.create_superuser("measuring", password="not asked for here")
    client = Client()
    client.force_login(owner, "django.contrib.auth.backends.ModelBackend")
    return client


def named() -> dict[str, int]:
    """Name a lot that stands, a buyer, and the newest sale."""
    return {
        "lot": LotBalance.objects.filter(on_hand__gt=0).latest("lot_id").lot_id,
        "buyer": Buyer.objects.first().pk,
        "document": Document.objects.filter(kind="sale").latest("pk").pk,
    }
