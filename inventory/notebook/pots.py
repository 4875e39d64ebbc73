"""Read in what plants stand: a class as it is spoken, or a pot by its volume or measures."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cached_property

from inventory.containers import ContainerClass, classify, container_volume_litres, cubic_inches

CUBIC_INCHES_IN_A_GALLON = 231
_CLASS = re.compile(
    r"(?:#|no\.? ?|nr\.? ?|size |class )?(\d{1,2})(?: ?(?:pots?|containers?|cont\.?))?"
)
_VOLUME = re.compile(
    r"(\d{1,4}(?:[.,]\d{1,3})?) ?"
    r"(l|lt|ltr|litres?|liters?|ml|gal|gals|gallons?|in³|in3|cu\.? ?in\.?|cubic inch(?:es)?)\.?"
    r"(?: ?(?:pots?|containers?))?"
)
_TAPERED = re.compile(
    r"(\d{1,4}(?:[.,]\d)?) ?[/x×*] ?(\d{1,4}(?:[.,]\d)?) ?[/x×*] ?(\d{1,4}(?:[.,]\d)?) ?(mm|cm)"
)
NEAR = 0.75


@dataclass(frozen=True)
class Pots:
    """The containers there are: {code: name}, and the volume range of each class."""

    names: Mapping[str, str]
    classes: tuple[ContainerClass, ...]

    def read(self, text: str) -> str:
        """Return the code of the container that a text surely names, or nothing."""
        plain, exact = " ".join(text.casefold().split()), self._exact
        if plain in exact:
            return exact[plain]
        match = _CLASS.fullmatch(plain)
        if match and f"#{int(match[1])}" in self.names:
            return f"#{int(match[1])}"
        volume = volume_in_cubic_inches(plain)
        if volume:
            return classify(volume, self.classes) or ""
        named = [
            code
            for word, code in exact.items()
            if word in plain.split() or f"{word}s" in plain.split()
        ]
        return named[0] if len(named) == 1 else ""

    @cached_property
    def _exact(self) -> dict[str, str]:
        exact = {code.casefold(): code for code in self.names}
        return exact | {name.casefold(): code for code, name in self.names.items()}

    def near(self, text: str) -> str:
        """Return the code that a text may mean, or nothing."""
        words = {name.casefold(): code for code, name in self.names.items()}
        words |= {code.casefold(): code for code in self.names}
        found = get_close_matches(text.casefold(), words, n=1, cutoff=NEAR)
        return words[found[0]] if found else ""


def volume_in_cubic_inches(text: str) -> float | None:
    """Return the volume that a text tells, or None. A gallon is US, 231 cubic inches."""
    if match := _VOLUME.fullmatch(text):
        number, unit = float(match[1].replace(",", ".")), match[2]
        if unit.startswith("gal"):
            return number * CUBIC_INCHES_IN_A_GALLON
        if unit == "ml":
            return cubic_inches(number / 1000)
        return cubic_inches(number) if unit.startswith("l") else number
    if match := _TAPERED.fullmatch(text):
        in_mm = 10 if match[4] == "cm" else 1
        sides = [float(match[n].replace(",", ".")) * in_mm for n in (1, 2, 3)]
        return cubic_inches(container_volume_litres(*sides)) if all(sides) else None
    return None
