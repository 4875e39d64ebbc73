"""Say by name what a deed is about, as it is called today: the record itself keeps no names."""

from collections import defaultdict
from collections.abc import Sequence

from django.urls import Resolver404, resolve

from inventory.models import Batch, Container, Lot, Place, Plant, Supply
from nursery.models import Deed
from sales.models import Buyer, Document

# By how the address of a thing, and of what is done to it, begins.
THINGS = {
    "lots": Lot,
    "batches": Batch,
    "plants": Plant,
    "places": Place,
    "supplies": Supply,
    "invoices": Document,
    "buyers": Buyer,
    "containers": Container,
}


def name(deeds: Sequence[Deed]) -> None:
    """Set `about_name` on each deed, with one question for each kind of thing."""
    wanted, things = defaultdict(set), {}
    for deed in deeds:
        if found := _thing(deed.about):
            things[deed.pk] = found
            wanted[found[0]].add(found[1])
    known = {model: model.objects.in_bulk(keys) for model, keys in wanted.items()}
    for deed in deeds:
        model, key = things.get(deed.pk, (None, None))
        thing = known[model].get(key) if model else None
        deed.about_name = str(thing) if thing else deed.about.strip("/").replace("/", " ")


def _thing(path: str):
    """Return the model and key of what a path is about, where it is of a kind that has a name."""
    try:
        match = resolve(path) if path else None
    except Resolver404:
        return None
    if match is None or "pk" not in match.kwargs:
        return None
    begin, number = path.strip("/").split("/")[:2]
    return (THINGS[begin], match.kwargs["pk"]) if begin in THINGS and number.isdigit() else None
