"""Propose codes for many batches and lots at once, reading those in use only once."""

from collections.abc import Iterator
from datetime import date
from itertools import chain
from string import ascii_uppercase

from django.db.models import Exists, OuterRef, Q

from inventory.models import Batch, Container, Lot, Movement, Plant
from inventory.queries.next_code import BATCH_CODE, every_tail, initials
from inventory.queries.on_hand import in_force

LONGEST_CODE = 24


def lot_codes_in_use() -> set[str]:
    """Return the codes of lots that something in force uses."""
    lot = Q(to_lot=OuterRef("pk")) | Q(from_lot=OuterRef("pk"))
    moved = in_force(Movement.objects.filter(lot))
    return set(Lot.objects.filter(Exists(moved)).values_list("code", flat=True))


class CodesInUse:
    """The codes of batches and lots that something in force uses, and those given out here.

    The codes are made as `next_code` makes them one by one: THS-26A, in a #1 pot THS-26A-1.
    """

    def __init__(self):
        begun = in_force(Movement.objects.filter(batch=OuterRef("pk")))
        self.lots = lot_codes_in_use()
        rows = Batch.objects.filter(Exists(begun)).order_by("started_on", "pk")
        codes = list(rows.values_list("code", "plant"))
        self.batches = {code for code, _ in codes}
        letters = [
            (plant, match.group(1))
            for code, plant in codes
            if (match := BATCH_CODE.fullmatch(code))
        ]
        self._letters = dict(letters)
        self._owned = {letters for _, letters in letters}
        self._tails: dict[str, Iterator[str]] = {}

    def take_lot(self, code: str) -> bool:
        """Give a lot code out, or return False where it is in use."""
        if code in self.lots:
            return False
        self.lots.add(code)
        return True

    def next_batch(self, plant: Plant, on: date) -> str:
        """Give out the next free batch code of a plant and year."""
        stem = f"{self._letters_of(plant)}-{on:%y}"
        tails = self._tails.setdefault(stem, every_tail())
        free = (stem + tail for tail in tails if stem + tail not in self.lots)
        return self._free_batch(free)

    def batch_like(self, lot_code: str, plant: Plant, on: date) -> str:
        """Give out the batch code of a lot that has its own code: the same where it is free."""
        if lot_code in self.batches:
            return self.next_batch(plant, on)
        return self._free_batch([lot_code])

    def lot_of(self, batch_code: str, container: Container) -> str:
        """Give out the code of a batch's first lot."""
        first = batch_code
        if container.for_sale or batch_code in self.lots:
            first = f"{batch_code}-{container.code.removeprefix('#')}"
        further = (first + tail for tail in every_tail() if tail != "A")
        return next(code for code in chain([first], further) if self.take_lot(code))

    def _free_batch(self, codes) -> str:
        code = next(code for code in codes if code not in self.batches)
        self.batches.add(code)
        return code

    def _letters_of(self, plant: Plant) -> str:
        """Return the letters a plant's batches bear already, else its initials, made its own."""
        if plant.pk not in self._letters:
            wanted = initials(plant.name)
            tries = (wanted, *(wanted[:2] + letter for letter in ascii_uppercase))
            self._letters[plant.pk] = next((t for t in tries if t not in self._owned), wanted)
            self._owned.add(self._letters[plant.pk])
        return self._letters[plant.pk]
