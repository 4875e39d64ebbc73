"""Every verb asked for anything, in any order: the books are right after each step."""

from collections import Counter

import pytest
from django.db import transaction
from django.db.models import Count, Max, Min
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, rule, run_state_machine_as_test

from inventory.errors import LedgerError
from inventory.models import LotBalance
from nursery.management.commands.verify import PROOFS
from sales.models import Document
from tests.faults.proofs import shape
from tests.fuzz import MORE
from tests.fuzz.verbs import VERBS, asked, untried
from tests.fuzz.visiting import place_of, told
from tests.fuzz.world import World
from tests.ledger_figures import assert_conserved

pytestmark = pytest.mark.django_db
BY_NAME = {verb.__name__: verb for verb in VERBS}
ended: Counter = Counter()
done: set[str] = set()
faults: dict[str, str] = {}


class Hostile(RuleBasedStateMachine):
    """Somebody who enters anything."""

    def __init__(self):
        super().__init__()
        self.held = transaction.atomic()
        self.held.__enter__()
        self.world = World()

    @rule(name=st.sampled_from(sorted(BY_NAME)), data=st.data())
    def enter(self, name, data):
        self.world.draw = data.draw
        what = asked(BY_NAME[name], self.world)
        if what is None:
            return
        before = shape()
        try:
            with transaction.atomic():
                BY_NAME[name](**what)
                again = shape()
                if "request_id" in what or name == "book_sent":
                    BY_NAME[name](**what)
                    assert shape() == again, "pressed twice, it wrote twice"
                self.look()
            ended["written"] += 1
            done.add(name)
        except LedgerError as error:
            ended["refused"] += 1
            assert len(str(error)) > 12, f"{name}: {error}"
            assert shape() == before
        except Exception as error:
            # One of each is told, and the others are looked for meanwhile.
            faults.setdefault(f"{name} {place_of(error)}", f"{error!s:.300} of {what!s:.500}")

    def look(self):
        """Prove the ledger, as `verify` does and a little more."""
        found = [words for proof in PROOFS for words in proof()]
        assert not found, found[:3]
        assert not LotBalance.objects.filter(on_hand__lt=0).exists()
        assert_conserved()
        series = Document.objects.exclude(series="").values("series")
        for one in series.annotate(n=Count("pk"), first=Min("serial"), last=Max("serial")):
            assert one["last"] - one["first"] + 1 == one["n"], f"a gap in {one['series']}"

    def teardown(self):
        transaction.set_rollback(True)
        self.held.__exit__(None, None, None)


def test_no_verb_is_left_out():
    assert not untried()


def test_whatever_is_entered_the_books_are_right():
    tries = settings(
        max_examples=6 * MORE,
        stateful_step_count=20,
        derandomize=MORE == 1,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    run_state_machine_as_test(Hostile, settings=tries)

    assert not faults, told(faults)
    assert ended["written"] and ended["refused"]
    print(dict(ended), f"never done: {sorted(set(BY_NAME) - done)}")
