"""What one plant of a lot cost by category, container by container."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from inventory.costing.categories import CATEGORIES
from inventory.models import Container
from inventory.queries.story import Standing, Story

# What a movement carries is rounded to a millionth, so its cost per plant is not exact.
ROUNDING = Decimal("0.0001")


@dataclass(frozen=True)
class Stage:
    """The cost of one plant that joined while it stood in one container."""

    container: Container
    costs: Mapping[str, Decimal]


def stages_of(story: Story) -> list[Stage]:
    """Return what each container added to the cost of one plant, first to last.

    Plants lost on the way are in it: the survivors carry their cost. Where
    cheaper plants joined and a stage's part would be less than nothing, one stage
    stands for all that led there.
    """
    stages: list[Stage] = []
    reached: dict[str, Decimal] = {}
    for container, costs in _ends(story):
        added = {c: costs.get(c, 0) - reached.get(c, 0) for c in CATEGORIES}
        if min(added.values()) < -ROUNDING:
            stages, added = [], costs
        stages.append(Stage(container, {c: part for c, part in added.items() if part > ROUNDING}))
        reached = costs
    return _joined(stages)


def last_standing(story: Story) -> Standing:
    """Return what the lot holds, or held when its last plants were about to leave."""
    own = [one for one in story.happenings if one.lot.pk == story.lot.pk]
    for one in reversed(own):
        for standing in (one.after, one.before):
            if standing.plants:
                return standing
    return Standing(0, (Decimal(0),) * len(CATEGORIES))


def _ends(story):
    """Yield each container on the way with the cost of one plant when it left it."""
    for row in story.path:
        yield (
            row.from_lot.container,
            {
                category: cost / row.quantity
                for category in story.counted
                if (cost := getattr(row.carried, f"cost_{category}"))
            },
        )
    yield story.lot.container, last_standing(story).unit_costs()


def _joined(stages):
    """Make one stage of those that follow one another in the same container."""
    found: list[Stage] = []
    for stage in stages:
        if found and found[-1].container.pk == stage.container.pk:
            before = found.pop().costs
            both = {c: before.get(c, 0) + stage.costs.get(c, 0) for c in before | stage.costs}
            found.append(Stage(stage.container, both))
        else:
            found.append(stage)
    return found
