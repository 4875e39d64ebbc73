"""Find plants, lots and batches by what a person remembers of them."""

from dataclasses import dataclass, field

from django.db.models import Q, QuerySet

from inventory.codes import alike, code_in
from inventory.models import Batch, Lot, Plant
from inventory.names import search_key

MOST = 20


@dataclass(frozen=True)
class Found:
    """What answers a search; `sole` is set where only one thing does."""

    plants: list[Plant] = field(default_factory=list)
    lots: list[Lot] = field(default_factory=list)
    batches: list[Batch] = field(default_factory=list)

    @property
    def every(self) -> list:
        return [*self.plants, *self.lots, *self.batches]

    @property
    def sole(self):
        return self.every[0] if len(self.every) == 1 else None


def search(text: str) -> Found:
    """Return what matches: a lot or batch code, a botanical or a common name.

    × and x, quotes, accents and capitals make no difference. A lot's whole code, or the
    address on its label, finds that lot alone.
    """
    text = code_in(text)
    if not text:
        return Found()
    if lot := lot_with_code(text):
        return Found(lots=[lot])
    lots = Lot.objects.select_related("plant", "container", "balance__place")
    return Found(
        list(plants_named(Plant.objects.all(), text)[:MOST]),
        list(lots.filter(code__icontains=text).order_by("-balance__on_hand", "code")[:MOST]),
        list(Batch.objects.select_related("plant").filter(code__icontains=text)[:MOST]),
    )


def lot_with_code(text: str) -> Lot | None:
    """Return the one lot whose code was typed, pasted or scanned, in any spelling."""
    code = code_in(text)
    lots = Lot.objects.select_related("plant", "container", "balance__place")
    if exact := lots.filter(code__iexact=code).first():
        return exact
    wanted = alike(code)
    keys = [pk for pk, known in Lot.objects.values_list("pk", "code") if alike(known) == wanted]
    return lots.get(pk=keys[0]) if len(keys) == 1 else None


def plants_named(plants: QuerySet, text: str) -> QuerySet:
    """Return the plants whose botanical or common name has every word of `text`."""
    return plants.filter(name_matches(text))


def name_matches(text: str, prefix: str = "") -> Q:
    """Return the condition of `plants_named`; `prefix` leads to the plant ("plant__")."""
    words = search_key(text).split()
    if not words:
        return Q(pk__isnull=True)
    botanical, common = Q(), Q()
    for word in words:
        botanical &= Q(**{f"{prefix}search_key__icontains": word})
        common &= Q(**{f"{prefix}common_name__icontains": word})
    return botanical | common
