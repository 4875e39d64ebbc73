"""Propose the next batch and lot codes: THS-26A, potted in #1 THS-26A-1, more of them -1B.

Initials of the plant, the year in which it was begun, a letter for the batch of that year;
then the container of the lot, and a letter where there is more than one. Nobody has to
keep to it: a code may be any text that no other batch or lot has.
"""

import re
from datetime import date
from itertools import chain, islice
from string import ascii_uppercase

from inventory.models import Batch, Container, Lot, Plant
from inventory.names import search_key

BATCH_CODE = re.compile(r"([A-Z]{2,4})-(\d\d)([A-Z]+)")
POT_CODE = re.compile(r"(.+-\d\d[A-Z]+)-(.+?)([A-Z]?)")
LETTERS_IN_INITIALS = 3


def next_batch_code(plant_name: str, on: date) -> str:
    """Return a batch code that is free: the plant's letters, the year, the next letter."""
    stem = f"{_letters_of(plant_name)}-{on:%y}"
    taken = _taken(stem)
    return next(code for code in (stem + tail for tail in every_tail()) if code not in taken)


def first_lot_code(batch_code: str, container: Container) -> str:
    """Return the code of a batch's first lot: its own in the tray, -1 in a #1 pot."""
    if container.for_sale or Lot.objects.filter(code=batch_code).exists():
        return _in_container(batch_code, container)
    return batch_code


def next_pot_code(lot: Lot, container: Container) -> str:
    """Return a free code for plants of this lot that go into that container."""
    pot = POT_CODE.fullmatch(lot.code)
    return _in_container(pot.group(1) if pot else lot.code, container)


def next_part_code(lot: Lot) -> str:
    """Return a free code for a part of this lot that goes to another place."""
    return next_pot_code(lot, lot.container)


def next_part_codes(lot: Lot, number: int) -> list[str]:
    """Return so many free codes for parts of this lot."""
    pot = POT_CODE.fullmatch(lot.code)
    return list(islice(_free_codes(pot.group(1) if pot else lot.code, lot.container), number))


def initials(plant_name: str) -> str:
    """Return up to three capitals: of the genus, the species and the cultivar's words.

    A name of fewer words gives the first word's further letters: Taxus 'Hicksii' is TAH.
    """
    words = [re.sub(r"[^a-z]", "", word) for word in search_key(plant_name).split()]
    words = [word for word in words if word] or ["plant"]
    rest = words[1:][-(LETTERS_IN_INITIALS - 1) :]
    of_the_first = LETTERS_IN_INITIALS - len(rest)
    return (words[0][:of_the_first] + "".join(word[0] for word in rest)).upper()


def _letters_of(plant_name):
    """Return the letters that the plant's batches bear already, else its initials, made its own."""
    plant = Plant.objects.filter(search_key=search_key(plant_name)).first()
    own = _letters_in_use(Batch.objects.filter(plant=plant)) if plant else []
    if own:
        return own[0]
    others = set(_letters_in_use(Batch.objects.all()))
    wanted = initials(plant_name)
    tries = (wanted, *(wanted[:2] + letter for letter in ascii_uppercase))
    return next((letters for letters in tries if letters not in others), wanted)


def _letters_in_use(batches):
    codes = batches.order_by("-started_on", "-pk").values_list("code", flat=True)
    return [match.group(1) for code in codes if (match := BATCH_CODE.fullmatch(code))]


def _in_container(stem, container):
    return next(_free_codes(stem, container))


def _free_codes(stem, container):
    first = f"{stem}-{container.code.removeprefix('#')}"
    taken = _taken(first)
    further = (first + tail for tail in every_tail() if tail != "A")
    return (code for code in chain([first], further) if code not in taken)


def _taken(beginning):
    return {
        code
        for model in (Batch, Lot)
        for code in model.objects.filter(code__startswith=beginning).values_list("code", flat=True)
    }


def every_tail():
    """Yield A, B, ... Z, AA, AB, ..."""
    yield from ascii_uppercase
    for first in every_tail():
        yield from (first + last for last in ascii_uppercase)
