"""How cuttings were treated, in fields and in words."""

from dataclasses import dataclass
from decimal import Decimal

from inventory.models import HormoneForm, Method, Nursery, Person, Wood
from inventory.temperature import temperature

FIELDS = ("wood", "hormone", "hormone_form", "hormone_ppm", "medium", "bottom_heat_c", "taken_by")
LONGEST = 120


@dataclass(frozen=True)
class Treatment:
    """What was done to a batch when it began; nothing of it must be said.

    `hormone` is the product, `hormone_ppm` its strength in parts per million as used, and
    `bottom_heat_c` the medium's temperature in degrees Celsius where it is heated.
    """

    method: Method | None = None
    wood: str = ""
    hormone: str = ""
    hormone_form: str = ""
    hormone_ppm: int | None = None
    medium: str = ""
    bottom_heat_c: Decimal | None = None
    taken_by: Person | None = None

    @property
    def in_words(self) -> str:
        """Write it as one line that fits the batch's `treatment`."""
        strength = f"{self.hormone_ppm:,} ppm" if self.hormone_ppm else ""
        # What is none of the choices has no words; the database refuses to keep it.
        form = dict(HormoneForm.choices).get(self.hormone_form, "")
        heat = self.bottom_heat_c and temperature(self.bottom_heat_c, Nursery.current())
        heat = f"bottom heat {heat}" if heat else ""
        hormone = " ".join(filter(None, (self.hormone, form, strength)))
        wood = dict(Wood.choices).get(self.wood, "")
        return ", ".join(filter(None, (wood, hormone, self.medium, heat)))[:LONGEST]
