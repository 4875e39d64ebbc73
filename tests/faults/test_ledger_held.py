"""Another writer holds the ledger for longer than anyone waits: nothing is lost, nothing half."""

import threading
from uuid import uuid4

import pytest
from django.db import OperationalError, connection

from inventory.models import LotBalance, Plant
from inventory.operations.posting import ledger_held
from tests.entering import as_grower, page, sent
from tests.faults.deeds import Deed
from tests.faults.proofs import differences, shape
from tests.faults.scene import day, small_nursery

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def nobody_waits_long(settings):
    settings.LEDGER_WAIT_SECONDS = 1
    options = connection.settings_dict["OPTIONS"]
    usual = options.get("timeout")
    if usual:
        options["timeout"] = 1
    yield
    connection.close()
    if usual:
        options["timeout"] = usual


class HeldElsewhere:
    """Hold the ledger in another thread, with a connection of its own, until left."""

    def __enter__(self):
        self.is_held, self.may_go = threading.Event(), threading.Event()
        self.thread = threading.Thread(target=self._hold)
        self.thread.start()
        assert self.is_held.wait(30)

    def __exit__(self, *_error):
        self.may_go.set()
        self.thread.join(30)

    def _hold(self):
        with ledger_held():
            self.is_held.set()
            self.may_go.wait(30)
        connection.close()


def test_a_writer_that_waited_long_enough_gives_up_and_the_same_press_works_after(
    nobody_waits_long,
):
    small_nursery()
    plant = Plant.objects.order_by("pk").first().pk
    facts = {"prices": [(plant, "12.10")], "on": day(1)}
    deed, before = Deed("price_sheet", uuid4(), facts), shape()
    connection.close()

    with HeldElsewhere():
        with pytest.raises(OperationalError):
            deed.do()
        assert shape() == before, "others read on"

    assert deed.do() == deed.do()
    assert differences() == []


def test_a_page_says_that_the_ledger_is_held_and_the_same_press_works_after(
    client, nobody_waits_long
):
    small_nursery()
    client.raise_request_exception = False
    grower, lot = as_grower(client), LotBalance.objects.first()
    typed = sent(day(3), quantity="3")
    connection.close()

    with HeldElsewhere():
        answer = grower.post(page("take-out", lot.pk, "use"), typed)
    assert answer.status_code == 503
    assert "The ledger is being written to" in answer.content.decode()

    assert grower.post(page("take-out", lot.pk, "use"), typed).status_code == 302
    assert grower.post(page("take-out", lot.pk, "use"), typed).status_code == 302
    assert LotBalance.objects.get(pk=lot.pk).on_hand == lot.on_hand - 3
