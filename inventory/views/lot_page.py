"""The page of a lot: what it holds, and its story from the cutting to now."""

from collections.abc import Iterable
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from inventory.held import held_of_lots
from inventory.models import Batch, Lot, Operation
from inventory.own_time import counted_in
from inventory.queries.ages import age_of
from inventory.queries.destinations import where_plants_went
from inventory.queries.lineage import shares_of_lots
from inventory.queries.listed import is_rooting
from inventory.queries.photos import photos_of
from inventory.queries.stages import last_standing, stages_of
from inventory.queries.steps import spent_on, steps_of, tell_what_they_took
from inventory.queries.story import Happening, Story
from inventory.queries.wording import CATEGORY_WORDS
from inventory.rights_of_pages import COSTS
from inventory.views.pictures import cost_picture, life_picture

SHOWN_SALES = 10


@require_safe
def lot(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one lot."""
    shown = get_object_or_404(lot_with_all(), pk=pk)
    counted = counted_in(request)
    story = Story(shown, counted)
    stages = stages_of(story)
    went = where_plants_went(shown)
    sees_costs = request.user.has_perm(COSTS)
    chapters = [
        (teller, steps_of(happened if sees_costs else beside_costs(happened)))
        for teller, happened in story.chapters
    ]
    spent_for = request.GET.get("cost", "")
    if spent_for in CATEGORY_WORDS and sees_costs:
        chapters = spent_on(spent_for, chapters)
    tell_what_they_took(chapters)
    held = held_of_lots().get(shown.pk, ())
    context = {
        "place": "growing",
        "lot": shown,
        "photos": photos_of(lot=shown),
        "balance": shown.balance,
        "age": age_of(shown),
        "cost": shown.balance.cost_in(counted),
        "unit_cost": last_standing(story).unit_cost,
        "chapters": chapters,
        "spent_for": CATEGORY_WORDS.get(spent_for) if sees_costs else None,
        "stages": stages,
        "cost_picture": cost_picture(shown, stages, counted) if sees_costs else None,
        "life_picture": life_picture(shown, story),
        "went": went,
        "newest_sales": went.sold[:SHOWN_SALES],
        "older_sales": went.sold[SHOWN_SALES:],
        "batches": batches_of(shown),
        "potted": potted_last(story),
        "held": held,
        "free": shown.balance.on_hand - sum(row.plants for row in held),
        "ready_later": bool(shown.ready_on and shown.ready_on > date.today()),
    }
    return render(request, "inventory/lot.html", context)


def beside_costs(happened: Iterable[Happening]) -> list[Happening]:
    """Return what happened, without what was money only."""
    return [one for one in happened if one.operation.kind != Operation.Kind.COST]


def potted_last(story: Story) -> int:
    """Return how many were potted up into the lot, where nothing happened to it since."""
    if not story.path or not story.happenings:
        return 0
    came, last = story.path[-1], story.happenings[-1].operation
    is_last = came.operation_id == last.pk and last.kind == Operation.Kind.POT_UP
    return came.quantity if is_last else 0


def lot_with_all():
    """Return the lots with all that their page needs of themselves."""
    all_of_it = ("plant", "container", "balance__place", "balance__measurement")
    return Lot.objects.select_related(*all_of_it).annotate(rooting=is_rooting())


def batches_of(shown: Lot) -> list[tuple[Batch, float]]:
    """Return the batches of a lot with their shares, the largest first."""
    shares = shares_of_lots([shown.pk])[shown.pk]
    found = Batch.objects.in_bulk(shares)
    return sorted(((found[key], part) for key, part in shares.items()), key=lambda pair: -pair[1])
