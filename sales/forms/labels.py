"""Forms for labels: what to print on which, and the measures of the nursery's own."""

from django import forms

from inventory.forms.catalogue import CatalogueForm
from inventory.models import Lot, Nursery
from sales.labels.grid import Grid
from sales.labels.tags import PASSPORT_HEIGHT, PASSPORT_WIDTH, bears_passport
from sales.models import LabelStock
from sales.queries.labels import grids

MOST_LABELS = 500


class LabelsForm(forms.Form):
    """How many labels of which lots, and where on the sheet they begin. Writes nothing."""

    stock = forms.ChoiceField(label="Printed on")
    start = forms.IntegerField(
        label="Begin at label",
        min_value=1,
        max_value=1200,
        initial=1,
        help_text="1 is at the upper left; count along the rows. For a sheet already begun.",
    )
    price = forms.BooleanField(label="With the stand's price", required=False, initial=True)
    passport = forms.BooleanField(label="As plant passports", required=False)

    def __init__(
        self,
        data=None,
        *,
        lots: list[Lot],
        nursery: Nursery,
        each: str = "",
        last: dict,
        sees_prices: bool = True,
    ):
        self.grids = grids()
        super().__init__(data, initial=_initial(self.grids, nursery, last))
        self.fields["stock"].choices = [(key, words) for key, (words, _) in self.grids.items()]
        if last.get("ended"):
            self.fields["start"].help_text += f" The last sheet made here ended at {last['ended']}."
        if not nursery.passport_registration:
            del self.fields["passport"]
        if not sees_prices:
            del self.fields["price"]
        self.lots = lots
        for lot in lots:
            self.fields[f"n-{lot.pk}"] = forms.IntegerField(
                label=lot.code,
                required=False,
                min_value=0,
                max_value=MOST_LABELS,
                initial=lot.on_hand if each == "plant" else 1,
                widget=forms.NumberInput(attrs={"class": "number"}),
            )

    @property
    def rows(self):
        """Return (lot, the field for its number)."""
        return [(lot, self[f"n-{lot.pk}"]) for lot in self.lots]

    def how_fields(self):
        """Return the fields that are not a number of labels."""
        return [
            self[name] for name in ("stock", "start", "price", "passport") if name in self.fields
        ]

    def clean(self):
        cleaned = super().clean()
        if not self.errors:
            self._refuse_number(sum(self.numbers.values()))
            self._refuse_grid(self.grid, cleaned["start"])
        return cleaned

    @property
    def grid(self) -> Grid:
        return self.grids[self.cleaned_data["stock"]][1]

    @property
    def numbers(self) -> dict[Lot, int]:
        """Return {lot: how many labels} of those that are wanted."""
        wanted = {lot: self.cleaned_data.get(f"n-{lot.pk}") for lot in self.lots}
        return {lot: number for lot, number in wanted.items() if number}

    def _refuse_number(self, wanted):
        if not wanted:
            self.add_error(None, "Write beside a lot how many labels it gets.")
        if wanted > MOST_LABELS:
            self.add_error(
                None, f"These are {wanted} labels. Print {MOST_LABELS} at a time at the most."
            )

    def _refuse_grid(self, grid, start):
        if start > grid.on_a_sheet and not grid.is_roll:
            self.add_error("start", f"The sheet has {grid.on_a_sheet} labels.")
        if self.cleaned_data.get("passport") and not bears_passport(grid):
            self.add_error(
                "stock",
                f"A plant passport on these could not be read. Choose labels of {PASSPORT_WIDTH} × "
                f"{PASSPORT_HEIGHT} mm or larger.",
            )


def _initial(known, nursery, last):
    stock = last.get("stock")
    if stock not in known:
        paper = nursery.paper_in_use
        stock = next((key for key, (_, grid) in known.items() if grid.paper == paper), None)
    kept = {name: last[name] for name in ("price", "passport") if name in last}
    return {"stock": stock, **kept}


def length(label: str, least: int = 0) -> forms.DecimalField:
    """Return a field for a length in millimetres."""
    initial = None if least else 0
    return forms.DecimalField(
        label=f"{label}, mm", min_value=least, max_value=400, decimal_places=2, initial=initial
    )


class LabelStockForm(CatalogueForm):
    """Labels by their measures in millimetres."""

    name = forms.CharField(max_length=40, help_text="As you call them: pot labels, stakes.")
    paper = forms.ChoiceField(
        label="On",
        choices=LabelStock.Paper,
        help_text="A roll needs the width and the height of a label, and nothing below them.",
    )
    width = length("Width of a label", 15)
    height = length("Height of a label", 10)
    columns = forms.IntegerField(
        label="Labels beside each other", min_value=1, max_value=20, initial=1
    )
    rows = forms.IntegerField(label="Labels below each other", min_value=1, max_value=60, initial=1)
    left = length("Margin at the left")
    top = length("Margin at the top")
    across = length("Gap between columns")
    down = length("Gap between rows")
    in_use = forms.BooleanField(label="In use", required=False, initial=True)

    def __init__(self, *args, stock: LabelStock | None = None, **kwargs):
        if stock:
            names = ("name", *Grid.__dataclass_fields__, "in_use")
            kwargs["initial"] = {name: getattr(stock, name) for name in names}
        super().__init__(*args, **kwargs)

    @property
    def what(self) -> dict:
        """Return what `keep_label_stock` takes; a roll has one label and no margins."""
        typed = self.cleaned_data
        measures = {name: typed[name] for name in Grid.__dataclass_fields__}
        if typed["paper"] == LabelStock.Paper.ROLL:
            measures = {name: typed[name] for name in ("paper", "width", "height")}
            measures |= {"columns": 1, "rows": 1}
        return {"name": typed["name"], "grid": Grid(**measures), "in_use": typed["in_use"]}
