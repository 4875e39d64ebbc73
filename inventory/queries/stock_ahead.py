"""The plants that stand now, put together where they stand alike, for what is planned of them."""

from collections import defaultdict
from datetime import date
from math import ceil, prod

from django.db.models import F

from inventory.held import held_of_lots
from inventory.models import ExpectedLoss, Lot
from inventory.planning.answer import Standing
from inventory.queries.chances import Chances
from inventory.queries.expected import STAGES, stages_so_far
from inventory.queries.in_pot import in_pot_since
from inventory.statistics.learning import Beta

Stage = ExpectedLoss.Stage


def standing_by_plant(chances: Chances) -> dict[int, list[Standing]]:
    """Return {plant: its plants that stand and are promised to nobody}, those alike together.

    Alike is one container, one stage, one month since which they stand there, and one day
    on which they are said to be ready.
    """
    lots = Lot.objects.filter(balance__on_hand__gt=0).select_related("container")
    lots = list(lots.annotate(on_hand=F("balance__on_hand")))
    stages, since = stages_so_far(lots), _since(lots)
    held = held_of_lots() if lots else {}
    alike = defaultdict(lambda: [date.min, 0, 0.0])
    for lot in lots:
        share = chances.rest_of(lot.plant_id, stages[lot.pk][0], lot.on_hand, *stages[lot.pk][1:])
        free = _free(lot, stages[lot.pk][0], share, held.get(lot.pk, ()), chances)
        if free > 0:
            day = since[lot.pk]
            where = (lot.plant_id, stages[lot.pk][0], lot.container_id)
            group = alike[*where, day.year, day.month, lot.ready_on]
            group[0] = max(group[0], day)
            group[1] += free
            group[2] += free * share.mean
    found = defaultdict(list)
    for (plant, stage, container, _, _, ready_on), (day, plants, through) in alike.items():
        share = Beta.thought(through / plants, chances.of(plant, stage).share.weight)
        found[plant].append(Standing(stage, container, day, plants, share, ready_on))
    return found


def _free(lot, stage, share, rows, chances):
    """Return the plants promised to nobody: so many are left out as the promises will take."""
    promised = sum(row.plants for row in rows)
    if not promised or stage == Stage.GROWING:
        return lot.on_hand - promised
    later = (chances.of(lot.plant_id, one).share.mean for one in STAGES[STAGES.index(stage) + 1 :])
    return lot.on_hand - ceil(promised / (share.mean * prod(later)))


def _since(lots):
    """Return {lot: the day its plants were stuck, or came into a pot for sale}."""
    potted = in_pot_since(lot.pk for lot in lots if lot.container.for_sale)
    return {lot.pk: potted.get(lot.pk, lot.began_on) for lot in lots}
