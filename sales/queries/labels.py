"""Which lots labels are wanted for, how many, and on which labels they can be printed."""

import re

from inventory.forms.filters import LotFilter
from inventory.models import Batch, Lot
from inventory.queries.listed import listed_lots
from inventory.queries.whereabouts import whereabouts
from nursery.numbers import is_number
from sales.labels.grid import COMMON, Grid
from sales.models import LabelStock

NUMBER = re.compile(r"n-(\d{1,15})")
MOST_LOTS = 200


def lots_to_label(data) -> list[Lot]:
    """Return the lots that an address names, each with its plants `on_hand`.

    By their numbers of labels (`n-12=40`), as `lot=12`, as those where a batch stands
    (`batch=3`), or as the list of lots narrows them.
    """
    keys = [match.group(1) for name in data if (match := NUMBER.fullmatch(name))]
    keys += [key for key in data.getlist("lot") if is_number(key)]
    lots = listed_lots()
    if keys:
        lots = lots.filter(pk__in=[int(key) for key in keys[:MOST_LOTS]])
    elif is_number(data.get("batch", "")):
        lots = lots.filter(pk__in=_lots_of_batch(int(data["batch"])))
    else:
        lots = LotFilter(data, queryset=lots).qs
    return list(lots[:MOST_LOTS])


def _lots_of_batch(pk):
    batch = Batch.objects.filter(pk=pk).first()
    return [lot.pk for lot, _ in whereabouts(batch).standing] if batch else []


def grids() -> dict[str, tuple[str, Grid]]:
    """Return {key: (in words, where the labels lie)}: the nursery's own first, then common ones."""
    own = LabelStock.objects.filter(in_use=True)
    found = {f"own-{row.pk}": (f"{row.name}: {row.grid.measures}", row.grid) for row in own}
    return found | {key: (grid.measures, grid) for key, grid in COMMON.items()}
