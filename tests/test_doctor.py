"""What `doctor` finds: each thing is really made wrong first."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.utils import timezone

from inventory.models import Operation
from nursery.keeping.ailments import found
from nursery.management.commands.verify import PROOFS
from tests.keeping_scenes import a_little_trade, own_ledger

pytestmark = pytest.mark.sqlite


@pytest.fixture
def ledger(transactional_db, first_start, tmp_path, settings):
    first_start.copy_to(tmp_path)
    with own_ledger(tmp_path, settings):
        a_little_trade()
        yield tmp_path


def said(*words) -> str:
    out = StringIO()
    try:
        call_command("doctor", *words, stdout=out)
    except CommandError as error:
        return f"{out.getvalue()}{error}"
    return out.getvalue()


def run(statement):
    with connection.cursor() as cursor:
        cursor.execute(statement)


def test_a_sound_ledger_has_nothing_grave(ledger):
    assert [one.words for one in found() if one.gravity == "grave"] == []
    assert "The database answers and takes entries." in said()


def test_lost_guards_and_wrong_sums_are_told_and_mended(ledger):
    run("DROP TRIGGER sales_take_no_delete")
    run("UPDATE inventory_lotbalance SET on_hand = on_hand + 1")
    (ledger / "copies").mkdir()
    (ledger / "copies" / "half.sqlite3.part").touch()
    (ledger / "secret-key").chmod(0o644)

    words = said()

    assert "Rows could be changed or deleted in sales_take." in words
    assert "on hand is kept as 27; a replay of the ledger gives 26." in words
    assert "A copy was broken off: half.sqlite3.part." in words
    assert f"Others on this machine can read {ledger / 'secret-key'}." in words
    assert words.endswith("2 grave faults.")

    assert "grave fault" not in said("--mend")
    assert not [words for proof in PROOFS for words in proof()]
    assert not (ledger / "copies" / "half.sqlite3.part").exists()


def test_a_lost_rule_is_named(ledger):
    run("DROP INDEX sales_buyerlink_one_link_stands")

    assert "The database has lost sales_buyerlink_one_link_stands." in said()


def test_a_clock_set_back_is_told(ledger):
    entry = Operation(kind="move", date=timezone.localdate(), request_id="0" * 32)
    Operation.objects.bulk_create([entry])
    run("DROP TRIGGER inventory_operation_no_update")
    later = timezone.now() + timedelta(days=2)
    Operation.objects.filter(pk=entry.pk).update(entered_at=later)

    assert "which is still to come" in said()


def test_a_damaged_file_leads_to_the_copies_without_a_trace(ledger):
    path = ledger / "ledger.sqlite3"
    run("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    content = bytearray(path.read_bytes())
    for page in range(40, 60):
        content[page * 4096 : page * 4096 + 2000] = b"\xff" * 2000
    path.write_bytes(content)

    words = said()

    assert "The ledger's file" in words
    assert "python3 manage.py restore FILE" in words


def test_a_missing_ledger_is_told(ledger):
    connection.close()
    (ledger / "ledger.sqlite3").unlink()

    assert "There is no ledger at" in said()
    assert not (ledger / "ledger.sqlite3").exists()
