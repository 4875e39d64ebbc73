"""Deeds: each with its request id and all that was typed, told before it is done."""

from dataclasses import dataclass
from random import Random
from uuid import UUID

from django.db import models

from tests.faults import growing_deeds, office_deeds, selling_deeds

ROOMS = (growing_deeds, selling_deeds, office_deeds)
DOING = {
    name.removeprefix("do_"): act
    for room in ROOMS
    for name, act in vars(room).items()
    if name.startswith("do_")
}
PLANNING = {
    name: plan for room in ROOMS for name in DOING if callable(plan := getattr(room, name, None))
}
# A nursery sells more often than it does anything else.
OFTEN = ("sell", "sell", "sell", "lose")


@dataclass(frozen=True)
class Deed:
    """One press of a button: its kind, its request id and all that was typed."""

    kind: str
    request_id: UUID
    facts: dict

    def do(self) -> tuple[str, int | str]:
        """Do it, or be told that it was done; return what names its result."""
        result = DOING[self.kind](self.request_id, **self.facts)
        if isinstance(result, models.Model):
            return result._meta.label, result.pk
        return self.kind, result


def next_deed(chance: Random, number: int) -> Deed:
    """Plan the next deed of a stream from what the ledger holds."""
    while True:
        kind = chance.choice([*PLANNING, *OFTEN])
        facts = PLANNING[kind](chance, number)
        if facts:
            return Deed(kind, UUID(int=chance.getrandbits(128), version=4), facts)
