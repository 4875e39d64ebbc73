"""Two and eight writers at the same plants: none is sold twice, and every refusal is ours."""

from collections import Counter
from dataclasses import dataclass, field
from datetime import timedelta
from random import Random

import pytest

from tests.faults.conftest import TRIES_OF_ONE_LEDGER
from tests.faults.proofs import differences
from tests.faults.races import RACES, Course, Race
from tests.faults.racing import processes, threads
from tests.faults.scene import day, small_nursery
from tests.faults.tallies import seeded, total

pytestmark = pytest.mark.django_db(transaction=True)
FEW = 33
MOST_AT_ONCE = 8
PROVE_EVERY = 25


@dataclass
class Tally:
    """What a campaign of races came to."""

    races: Counter = field(default_factory=Counter)
    deeds: Counter = field(default_factory=Counter)
    refusals: Counter = field(default_factory=Counter)

    def __str__(self):
        kinds = ", ".join(f"{name} {number}" for name, number in self.races.items())
        words = ", ".join(f"{name} {number}" for name, number in self.refusals.most_common())
        return f"{self.races.total()} races, deeds {dict(self.deeds)}, refused by {words}; {kinds}"

    def judge(self, name: str, race: Race, results: list[tuple]) -> None:
        """Claim that each deed was done or refused in the ledger's own words."""
        self.races[name] += 1
        broken = [result for word, result in results if word == "broken"]
        assert not broken, f"{name}: {broken[0]}"
        for word, result in results:
            self.deeds[word] += 1
            if word == "refused":
                self.refusals[str(result).partition(":")[0]] += 1
        done = [result for word, result in results if word == "done"]
        assert race.winners in (None, len(done)), f"{name}: {results}"
        assert race.claim(), f"{name}: what one wrote the other wrote over"
        for deed, (word, result) in zip(race.deeds, results, strict=True):
            if word == "done":
                assert deed.do() == result, f"{name}: {deed} once more has another result"


def _some(seeds: range) -> range:
    """Return all seeds of a campaign, and one in four where the suite tries a few."""
    return seeds if len(seeds) == TRIES_OF_ONE_LEDGER else seeds[::4]


@pytest.mark.parametrize("writers", [threads, processes])
def test_of_writers_at_once_each_is_served_or_refused_in_words(writers, seeds):
    small_nursery()
    tally = total(f"races of {writers.__name__}", Tally)

    with writers(MOST_AT_ONCE) as run:
        for seed in _some(seeds) if writers is processes else seeds:
            with seeded(seed):
                name = list(RACES)[seed % len(RACES)]
                race = RACES[name](Course(Random(seed), day(seed % 100)))
                tally.judge(name, race, run(race.deeds))
                if not (seed + 1) % PROVE_EVERY:
                    assert differences() == []
    assert differences() == []


def closing(course: Course) -> Race:
    """Close a day while plants are sold on it, lost on it, and sold on the day after."""
    close = course.deed("close")
    later = course.sale(2, on=course.on + timedelta(1))
    return Race([close, course.sale(3), course.loss(2), later])


def test_a_day_is_closed_with_what_was_entered_in_it_or_without(seeds):
    small_nursery()
    tally = total("races of closing", Tally)

    with threads(4) as run:
        for seed in _some(seeds):
            with seeded(seed):
                race = closing(Course(Random(seed), day(seed % TRIES_OF_ONE_LEDGER * 2)))
                tally.judge("closing", race, run(race.deeds))
    assert differences() == []
