"""Two writers take plants of one lot, as fast as they can, until long after it is empty."""

import traceback
from collections import Counter
from dataclasses import dataclass
from random import Random
from uuid import UUID

import pytest

from inventory.errors import NotEnoughPlants
from inventory.models import LotBalance, Place, Plant
from sales.errors import SaleRefused
from tests.faults.deeds import Deed
from tests.faults.process import Writer
from tests.faults.proofs import differences
from tests.faults.scene import day, small_nursery
from tests.faults.tallies import seeded, total

pytestmark = [pytest.mark.campaign, pytest.mark.django_db(transaction=True)]
FEW = 500
LOT = "EMPTIED"
# Of a hundred plants asked for so many are there: the last third of the tries is refused.
SHARE = 0.6


@dataclass(frozen=True)
class Taker:
    """One writer: its tries, each of one plant, by whatever way plants leave a lot."""

    seeds: range

    def __call__(self, pipe) -> None:
        for seed in self.seeds:
            pipe.send((*self._tried(seed), seed))

    def _tried(self, seed: int) -> tuple[str, str]:
        chance = Random(seed)
        ways = {
            "sell": {"items": [(LOT, 1)], "buyer": None, "paid_by": chance.choice(("cash", ""))},
            "lose": {"losses": [(LOT, 1, "pest")]},
            "give": {"lot": LOT, "quantity": 1},
        }
        kind = chance.choice(("sell", "sell", *ways))
        request_id = UUID(int=chance.getrandbits(128), version=4)
        try:
            Deed(kind, request_id, ways[kind] | {"on": day(1)}).do()
        except (NotEnoughPlants, SaleRefused) as error:
            return "refused", type(error).__name__
        except Exception:
            return "broken", traceback.format_exc()
        return "done", kind


@pytest.mark.of_one_ledger(500)
def test_two_writers_take_all_plants_of_a_lot_and_not_one_more(seeds):
    small_nursery()
    plants = int(len(seeds) * SHARE)
    tally = total("tries of two writers at one lot", Counter)
    begun = {"plant": Plant.objects.first().pk, "place": Place.objects.first().pk, "on": day(0)}
    begun |= {"code": LOT, "quantity": plants, "cost": "9"}
    Deed("stick", UUID(int=seeds.start), begun).do()

    takers = [Writer(Taker(seeds[half::2])) for half in (0, 1)]
    said = [words for taker in takers for words in taker.bury()]

    with seeded(seeds.start):
        ended = Counter(word for word, *_ in said)
        assert not ended["broken"], next(words for words in said if words[0] == "broken")
        assert (ended["done"], ended["refused"]) == (plants, len(seeds) - plants)
        assert LotBalance.objects.get(lot__code=LOT).on_hand == 0
        assert differences() == []
    tally.update(ended)
    tally.update(what for _, what, _ in said)
