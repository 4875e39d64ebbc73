"""A spoilt ledger file comes in whole and verifies, or not at all and says where it is wrong."""

import io
from collections import Counter
from itertools import count
from random import Random

import pytest
from django.db import transaction

from inventory.models import Operation
from nursery.management.commands.verify import PROOFS
from sales.ledger_file.exporting import export_ledger
from sales.ledger_file.importing import import_ledger
from sales.ledger_file.rows import RowError
from tests.fuzz import MORE
from tests.fuzz.full_house import full_house
from tests.fuzz.mutants import spoilt
from tests.fuzz.visiting import place_of, told

TRIES = 30 * MORE


@pytest.fixture
def good(db):
    """Return the ledger file of a nursery with one of everything; the ledger is empty again."""
    numbers, out = count(1), io.StringIO()
    with transaction.atomic():
        full_house(lambda longest: f"Word {next(numbers)}")
        export_ledger(out)
        transaction.set_rollback(True)
    return out.getvalue().encode()


def came_of(path) -> str:
    """Import a file, look at what it left, take that back, and say how it went."""
    with transaction.atomic():
        try:
            import_ledger(path)
        except RowError as error:
            assert error.line >= 1 and len(error.problem) > 10, error
            assert not Operation.objects.exists(), "half a file came in"
            return "refused"
        found = [words for proof in PROOFS for words in proof()]
        transaction.set_rollback(True)
        assert not found, found[:3]
        return "came in"


def test_a_spoilt_ledger_file_comes_in_whole_or_not_at_all(good, tmp_path):
    path, faults, ended = tmp_path / "ledger.csv", {}, Counter()
    path.write_bytes(good)
    with transaction.atomic():
        import_ledger(path)
        transaction.set_rollback(True)
    for seed in range(TRIES):
        path.write_bytes(spoilt(good, Random(seed)))
        try:
            ended[came_of(path)] += 1
        except Exception as error:
            faults.setdefault(place_of(error), f"{seed}: {error!s:.300}")

    assert not faults, told(faults)
    assert ended["refused"] and ended["came in"]
    print(f"{TRIES} files: {dict(ended)}")
