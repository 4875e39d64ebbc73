"""The form for measuring the plants of a lot: how many are of which height, or spread."""

from collections.abc import Iterator
from decimal import Decimal

from django import forms

from inventory.errors import LedgerError
from inventory.forms.fields import PlantsField
from inventory.forms.lot_form import LotForm
from inventory.models import Plant
from inventory.operations.measure import Measured, refuse_sizes
from inventory.queries.next_code import next_part_codes
from inventory.queries.on_hand import on_hand_on
from inventory.queries.sizes import sizes_offered
from inventory.size_words import in_inches
from inventory.sizes import Size, from_mm, to_mm
from nursery.templatetags.nursery_tags import plain

ROWS = 6
UNITS = {True: "inches", False: "centimetres"}
QUESTIONS = {
    Plant.SizedBy.HEIGHT: "How tall are the plants of lot {lot}?",
    Plant.SizedBy.SPREAD: "How wide are the plants of lot {lot}?",
}


class LengthField(forms.DecimalField):
    """A height or a spread in inches or centimetres, to a tenth."""

    def __init__(self, **kwargs):
        attrs = {"inputmode": "decimal", "step": "any", "autocomplete": "off"}
        widget = forms.NumberInput(attrs=attrs)
        least = Decimal("0.1")
        super().__init__(
            min_value=least, max_digits=6, decimal_places=1, required=False, widget=widget, **kwargs
        )


class MeasureForm(LotForm):
    """Rows of a size and the number of plants in it; a row without a number is left out."""

    main = ("on",)

    def __init__(self, *args, lot, **kwargs):
        super().__init__(*args, lot=lot, **kwargs)
        self.in_inches = in_inches()
        self.heading = QUESTIONS[lot.plant.sized_by].format(lot=lot)
        offered = sizes_offered(lot.plant, in_inches=self.in_inches)[: ROWS - 1]
        for number in range(ROWS):
            size = offered[number] if number < len(offered) else None
            self._add_row(number, size)
        self.fields["plants_0"].widget.attrs["autofocus"] = True

    def _add_row(self, number, size):
        bounds = (size.lower_mm, size.upper_mm) if size else (None, None)
        for name, label, mm in zip(("from", "under"), ("From", "to under"), bounds, strict=True):
            self.fields[f"{name}_{number}"] = LengthField(
                label=f"{label}, size {number + 1}",
                initial=None if mm is None else from_mm(mm, in_inches=self.in_inches),
            )
        self.fields[f"plants_{number}"] = PlantsField(
            label=f"How many, size {number + 1}", required=False, least=0
        )

    @property
    def unit(self) -> str:
        """The unit of the lengths, in a word."""
        return "in" if self.in_inches else "cm"

    def rows(self) -> Iterator[tuple]:
        """Yield the fields of each row for the page: from, to under, how many."""
        for number in range(ROWS):
            yield tuple(self[f"{name}_{number}"] for name in ("from", "under", "plants"))

    def clean(self):
        cleaned = super().clean()
        for number in range(ROWS):
            for name in ("from", "under"):
                field = f"{name}_{number}"
                if cleaned.get(f"plants_{number}") and cleaned.get(field, 0) is None:
                    self.add_error(
                        field, f"Write the size of these plants, in {UNITS[self.in_inches]}."
                    )
        if not self.errors:
            self._refuse_what_cannot_be()
        return cleaned

    def _refuse_what_cannot_be(self):
        held = on_hand_on(self.lot, self.cleaned_data["on"])
        wanted = sum(plants for _, plants in self._measured())
        try:
            refuse_sizes([size for size, _ in self._measured()])
        except LedgerError as error:
            self.add_error(None, str(error))
        if wanted > held:
            self.add_error(
                None,
                f"{plain(wanted)} are measured and lot {self.lot} held {plain(held)} on "
                f"{self.cleaned_data['on']:%d %B %Y}. Check the numbers, or count the lot first.",
            )

    def _measured(self) -> list[tuple[Size, int]]:
        """Return (size, plants) of each row with a number."""
        data = self.cleaned_data
        rows = ((data[f"from_{n}"], data[f"under_{n}"], data[f"plants_{n}"]) for n in range(ROWS))
        return [
            (Size(*(to_mm(bound, in_inches=self.in_inches) for bound in bounds)), plants)
            for *bounds, plants in rows
            if plants
        ]

    @property
    def sizes(self) -> list[Measured]:
        """Return what was measured, each size with the lot it becomes.

        Where every plant was measured, those of the most common size keep the lot: its
        labels, and what is promised out of it.
        """
        rows = self._measured()
        held = on_hand_on(self.lot, self.cleaned_data["on"])
        stays = None
        if sum(plants for _, plants in rows) == held:
            stays = max(range(len(rows)), key=lambda number: rows[number][1])
        codes = iter(next_part_codes(self.lot, len(rows)))
        return [
            Measured(size, plants, "" if number == stays else next(codes))
            for number, (size, plants) in enumerate(rows)
        ]

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        named = ("request_id", "on", "note")
        facts = {name: self.cleaned_data[name] for name in named}
        return facts | {"lot": self.lot, "sizes": self.sizes}
