"""Several servers of one ledger on PostgreSQL, a copy that follows it, and a server restarted.

Each server is `manage.py up` in a process of its own; the databases are real ones.
"""

import logging
import signal
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from types import SimpleNamespace
from urllib.error import HTTPError
from uuid import uuid4

import pytest
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command
from django.db import connections
from django.test import override_settings
from django.urls import reverse
from django.utils import timezone

from inventory.models import LotBalance
from nursery.homes import replica, servers
from nursery.homes.address import database_at
from nursery.homes.standing_in import asked_instead, opened_as
from sales.models import Buyer, Document
from tests.callers import Caller
from tests.factories import NurseryFactory, lot_holding
from tests.served import begin, free_port, read_until_open

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db]
BUYER = {"kind": "landscaper", "terms_days": "30"}
AS_SERVED = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
PASSWORD = "moss-on-the-north-side"


@pytest.fixture(scope="module")
def standby(cluster):
    """Start a copy that follows the cluster."""
    standby = cluster.standby()
    yield standby
    standby.remove()


@pytest.fixture(scope="module")
def served(cluster, standby, first_start, tmp_path_factory, django_db_blocker):
    """Start two servers at one moment on a database without tables, and let somebody in."""
    folder = tmp_path_factory.mktemp("served")
    first_start.copy_to(folder)
    ports = [free_port(), free_port()]
    homes = {"DATABASE_URL": cluster.database("served")}
    homes["NURSERY_REPLICA_URL"] = standby.url("served")
    # No test here waits for a copy to grow old.
    homes["NURSERY_REPLICA_MAY_LAG"] = "3600"
    ups = [begin("up", "--port", port, folder=folder, **homes) for port in ports]
    lines = [read_until_open(up) for up in ups]
    with django_db_blocker.unblock(), at_home(cluster):
        NurseryFactory()
        with override_settings(PASSWORD_HASHERS=AS_SERVED):
            user = get_user_model().objects.create_superuser("hanna", password=PASSWORD)
        lot = lot_holding(100, "L1", medium="50.00")
    yield SimpleNamespace(ports=ports, lines=lines, user=user, lot=lot)
    for up in ups:
        up.send_signal(signal.SIGTERM)
    said = [up.communicate(timeout=30)[1] for up in ups]
    assert said[0].count("The replica does not answer") <= 1, said[0]
    assert "replica" not in said[1], said[1]


@contextmanager
def at_home(server):
    """Ask a server's database in this process."""
    with opened_as("there", database_at(server.url("served"))), asked_instead("there"):
        yield


@pytest.fixture
def hanna(served):
    return Caller(*served.ports).log_in("hanna", PASSWORD)


def sale_of(served, **more) -> dict:
    lot = served.lot
    item = {"plant": lot.plant_id, "container": lot.container_id, "lot": lot.pk}
    return {
        "request": str(uuid4()),
        "seller": {"key": served.user.pk},
        "items": [item | {"quantity": 2, "price": "9.00"}],
        "at": timezone.now().isoformat(),
        "paid_by": "cash",
    } | more


def until(claim, seconds=30) -> None:
    """Wait for what a copy will show in a moment."""
    end = time.monotonic() + seconds
    while not claim():
        assert time.monotonic() < end, "it did not come true"
        time.sleep(0.1)


def test_two_servers_number_their_sales_without_a_gap_and_book_one_request_once(
    served, hanna, cluster
):
    with at_home(cluster):
        sold_before = Document.objects.count()
        held_before = LotBalance.objects.get(lot=served.lot).on_hand
    numbers = [hanna.sell(sale_of(served), at=n % 2)["number"] for n in range(4)]
    twice = sale_of(served)
    others = [Caller(*served.ports).log_in("hanna", PASSWORD) for _ in range(2)]

    with ThreadPoolExecutor() as at_once:
        answers = [at_once.submit(other.sell, twice, at=n) for n, other in enumerate(others)]

    assert answers[0].result()["number"] == answers[1].result()["number"]
    with at_home(cluster):
        serials = list(Document.objects.order_by("serial").values_list("serial", flat=True))
        assert serials == list(range(1, sold_before + 6))
        assert LotBalance.objects.get(lot=served.lot).on_hand == held_before - 10
    assert len(set(numbers)) == 4


def test_what_is_set_through_one_server_shows_in_the_other_at_once(served, hanna):
    asked = {"season_start_month": "10", "season_end_month": "3", "counted_for_price": "sale"}
    for n, name in enumerate(("Willow Gate Plants", "Alder Gate Plants")):
        named = {"request_id": str(uuid4()), "name": name, "currency": "USD", "units": "us"}
        hanna.post("/settings/", asked | named, at=n)

        assert name in hanna.get("/sell/", at=1 - n)


def test_a_ledger_in_use_is_not_moved(hanna, cluster, tmp_path):
    with pytest.raises(CommandError, match="The ledger is running somewhere else"):
        call_command("transfer", f"sqlite:///{tmp_path}/new", from_url=cluster.url("served"))


def test_lists_come_from_the_copy_and_what_one_wrote_is_there_at_once(
    served, hanna, cluster, standby
):
    tom = Caller(*served.ports).log_in("hanna", PASSWORD)
    with at_home(cluster):
        Buyer.objects.create(name="Early Gardens")
    until(lambda: "Early Gardens" in tom.get("/buyers/"))
    until(lambda: has_all_of(cluster, standby))
    tom.get("/buyers/")
    order(standby, "SELECT pg_wal_replay_pause()")

    hanna.post("/buyers/add/", {"request_id": str(uuid4()), "name": "Late Gardens"} | BUYER)

    assert "Late Gardens" in hanna.get("/buyers/") and "Late Gardens" in hanna.get("/buyers/", at=1)
    assert "Late Gardens" not in tom.get("/buyers/"), "it came from the copy, which waits"
    order(standby, "SELECT pg_wal_replay_resume()")
    until(lambda: "Late Gardens" in tom.get("/buyers/"))
    standby.stop()
    assert "Late Gardens" in tom.get("/buyers/"), "a lost copy stops nobody"
    standby.start()


def order(server, statement: str) -> None:
    with at_home(server), connections["there"].cursor() as cursor:
        cursor.execute(statement)


def has_all_of(cluster, standby) -> bool:
    with at_home(cluster):
        written = replica.position()
    with at_home(standby), connections["there"].cursor() as cursor:
        cursor.execute("SELECT pg_last_wal_replay_lsn() >= %s::pg_lsn", [written])
        return cursor.fetchone()[0]


def test_a_copy_that_is_behind_is_not_asked_and_that_is_told_once(served, cluster, standby, caplog):
    now = SimpleNamespace(time=0.0)
    copy = replica.Copy(may_lag=10, now=lambda: now.time)
    other = opened_as(replica.REPLICA, database_at(standby.url("served")))
    with other, at_home(cluster), caplog.at_level(logging.WARNING, replica.__name__):
        until(lambda: copy.answers(Buyer.objects.count) is not None)
        before = Buyer.objects.count()
        with connections[replica.REPLICA].cursor() as cursor:
            cursor.execute("SELECT pg_wal_replay_pause()")
        Buyer.objects.create(name="Gardens of the Moment")

        seen = [copy.answers(Buyer.objects.count)]
        seen.append(copy.answers(Buyer.objects.count, seen=replica.position()))
        for now.time in (11, 17, 18):
            seen.append(copy.answers(Buyer.objects.count))
        with connections[replica.REPLICA].cursor() as cursor:
            cursor.execute("SELECT pg_wal_replay_resume()")
        until(lambda: copy.answers(Buyer.objects.count) == before + 1)

    assert seen == [before, None, None, None, None]
    assert [record.message[:22] for record in caplog.records] == [
        "The replica is behind;",
        "The replica follows ag",
    ]


def test_a_database_restarted_under_them_stops_neither_server(served, hanna, cluster):
    hanna.get("/sell/"), hanna.get("/sell/", at=1)

    cluster.restart()

    for at in (0, 1):
        assert hanna.sell(sale_of(served), at=at)["number"]


def test_a_page_is_limited_and_what_the_address_says_goes_before(monkeypatch):
    own = connections.settings["default"]
    monkeypatch.setitem(own, "OPTIONS", dict(own["OPTIONS"]))
    servers.limit_pages()

    with opened_as("limited", own) as limited, limited.cursor() as cursor:
        cursor.execute("SHOW statement_timeout")
        assert cursor.fetchone() == ("2min",)
    told = database_at("postgres://a@b/c?sslmode=verify-full&application_name=gate")["OPTIONS"]
    assert (told["sslmode"], told["application_name"]) == ("verify-full", "gate")


@pytest.mark.parametrize(("more", "kept"), [({}, 200), ({"server_side_binding": "false"}, 0)])
def test_what_is_asked_again_is_planned_once_unless_the_address_says_no(more, kept):
    questions = [f"SELECT %s::int + {number}" for number in range(200)]
    with opened_as("asked", connections.settings["default"], **more) as asked, asked.cursor() as at:
        for question in 3 * questions:
            at.execute(question, [1])
        at.execute("SELECT count(*) FROM pg_prepared_statements")
        assert at.fetchone() == (kept,)


def test_every_list_that_may_be_old_is_answered_by_a_database_that_only_reads(
    served, hanna, cluster, standby
):
    until(lambda: has_all_of(cluster, standby))

    # A report as PDF asks what its page asks.
    for name in sorted(name for name in replica.MAY_BE_OLD if not name.endswith("-pdf")):
        words = ["csv"] if name == "sales:offer-file" else []
        # A chart of nothing is not there; whether it asked the copy is seen all the same.
        with suppress(HTTPError):
            hanna.get(reverse(name, args=words), at=1)

    # What the second server says at its end is looked at where it is stopped.
