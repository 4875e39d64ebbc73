"""The form for where plants begin: cuttings, seed, divisions, liners, opening stock."""

from functools import cached_property

from django import forms

from inventory.forms.fields import (
    ContainerField,
    CostFields,
    PlaceField,
    PlantsField,
    TypedFromList,
)
from inventory.forms.raising import RaisingFields
from inventory.forms.rights import RightFields
from inventory.forms.supply_uses import UsesFields
from inventory.models import Batch, Lot, Plant, Recipe, StockPlant
from inventory.names import clean_name, remarks, search_key
from inventory.queries import choices
from inventory.queries.methods import WOODS
from inventory.queries.next_code import first_lot_code, next_batch_code
from inventory.queries.supplies import recipe_for
from inventory.treatment import Treatment
from nursery.forms import OperationForm

Kind = Batch.Kind
QUESTIONS = {
    Kind.STICK: "How many cuttings?",
    Kind.SOW: "How many seeds or seedlings?",
    Kind.DIVIDE: "How many divisions?",
    Kind.RECEIVE: "How many liners?",
    Kind.OPENING: "How many plants?",
}
FROM_PARENTS = (Kind.STICK, Kind.DIVIDE)
USUAL = "its usual one, if it has one"


class BeginForm(RightFields, RaisingFields, UsesFields, CostFields, OperationForm):
    """What begins, how many, in what and where. The codes are proposed."""

    recipe_kind = Recipe.Kind.STICK.value

    plant = forms.CharField(label="Plant", max_length=120)
    quantity = PlantsField()
    container = ContainerField(label="In", empty_label=None)
    place = PlaceField(label="Place", required=False)
    new_place = forms.CharField(label="Name of a new place", required=False, max_length=60)
    batch = forms.CharField(label="Batch code", required=False, max_length=24)
    lot_code = forms.CharField(label="Lot code", required=False, max_length=24)
    stock_plant = forms.ModelChoiceField(
        label="Cut from", queryset=StockPlant.objects.none(), required=False, empty_label="not said"
    )
    treatment = forms.CharField(
        label="Treatment in your words",
        required=False,
        max_length=120,
        help_text="Empty: written from the fields above. Wear gloves with hormones, and follow "
        "the product's label: it is the law.",
    )
    keep_name = forms.BooleanField(label="Keep the name as I wrote it", required=False)

    def __init__(self, *args, kind: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.kind = Kind(kind)
        self.name_remarks = []
        self.fields["plant"].widget = TypedFromList(choices.plant_names())
        self.fields["plant"].widget.attrs["maxlength"] = 120
        first = "quantity" if self.initial.get("plant") else "plant"
        self.fields[first].widget.attrs["autofocus"] = True
        self.fields["quantity"].label = QUESTIONS[self.kind]
        self.fields["container"].initial = choices.first_container(kind)
        self.fields["place"].initial = choices.last_place(kind)
        if self.kind in FROM_PARENTS:
            self.fields["stock_plant"].queryset = StockPlant.objects.select_related("plant")
        else:
            del self.fields["stock_plant"]
        self.prepare_raising(self.kind, usual=USUAL, supplies=self.supplies)
        # Whose time it was has taken them.
        del self.fields["taken_by"]
        self.fields["method"].initial = self.initial.get("method", "")
        if self.kind != Kind.STICK:
            for name in ("treatment", *self.raising[1:]):
                self.fields.pop(name, None)
            self.leave_uses_out()
        if self.kind not in WOODS:
            del self.fields["method"]

    def clean_plant(self):
        return clean_name(self.cleaned_data["plant"])

    def clean(self):
        cleaned = super().clean()
        self._look_at_name(cleaned)
        parent = cleaned.get("stock_plant")
        if parent and search_key(parent.plant.name) != search_key(cleaned.get("plant", "")):
            self.add_error("stock_plant", f"{parent.code} is {parent.plant}. Choose its plant.")
        self.look_at_right(cleaned)
        if cleaned.get("plant") and not self.errors:
            self._fill_codes(cleaned)
        return cleaned

    def _look_at_name(self, cleaned):
        """Ask once about a new name that a namer would not accept."""
        name = cleaned.get("plant", "")
        is_new = name and not Plant.objects.filter(search_key=search_key(name)).exists()
        self.name_remarks = remarks(name) if is_new else []
        if self.name_remarks and not cleaned.get("keep_name"):
            self.add_error("plant", " ".join(self.name_remarks))
            self.add_error("keep_name", "Correct the name above, or keep it by a tick here.")

    def _fill_codes(self, cleaned):
        code = cleaned.get("batch") or next_batch_code(cleaned["plant"], cleaned["on"])
        cleaned["batch"] = code
        cleaned["lot_code"] = cleaned.get("lot_code") or first_lot_code(code, cleaned["container"])

    @cached_property
    def known_plant(self) -> Plant | None:
        """The plant that was named, where it is on the list."""
        name = self.cleaned_data.get("plant", "")
        return Plant.objects.filter(search_key=search_key(name)).first() if name else None

    @cached_property
    def recipe(self) -> Recipe | None:
        """The recipe of this plant, or of all plants, for the container."""
        if self.kind != Kind.STICK:
            return None
        return recipe_for(self.recipe_kind, self.cleaned_data["container"], self.known_plant)

    @cached_property
    def how(self) -> Treatment:
        """How the batch is raised and treated."""
        method = self.method_for(self.known_plant, self.kind, self.cleaned_data["on"])
        return self.treatment_by(method)

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        data = self.cleaned_data
        named = ("request_id", "plant", "quantity", "container", "place", "new_place", "batch")
        return {
            **{name: data[name] for name in (*named, "on")},
            "note": self.note_with_confirmation,
            "kind": self.kind,
            "lot": data["lot_code"],
            "costs": self.costs,
            "uses": self.uses,
            "stock_plant": data.get("stock_plant"),
            "treatment": data.get("treatment", ""),
            "how": self.how,
        }

    def touched_lots(self) -> set[int]:
        """Return the lot the plants join, where it stands already."""
        standing = Lot.objects.filter(code=self.cleaned_data["lot_code"])
        return set(standing.values_list("pk", flat=True))

    def refuse(self, error) -> None:
        """Show a refusal; the verb's "lot" and "to_lot" are this form's lot code."""
        if error.field in ("lot", "to_lot"):
            error.field = "lot_code"
        super().refuse(error)

    def main_fields(self):
        """Return the fields that are always seen."""
        names = ["plant", "quantity", "container", "place", "on"]
        if self.name_remarks:
            names.insert(1, "keep_name")
        if self.needs_confirmation:
            names.insert(1, "right_confirmed")
        if not self.fields["place"].queryset.exists():
            names[names.index("place")] = "new_place"
        return [self[name] for name in names]

    def folded_fields(self):
        """Return (what the fold says, its fields, whether it stands open)."""
        names = (*self.raising, "stock_plant", "treatment")
        how = [self[name] for name in names if name in self.fields]
        other_place = [self["new_place"]] if self.fields["place"].queryset.exists() else []
        codes = [*other_place, self["batch"], self["lot_code"]]
        folds = [
            ("How they are raised and were treated", how),
            ("Another place, or codes of your own", codes),
            ("What it takes", self.uses_fields()),
            ("What it cost", self.cost_fields()),
            ("Note", [self["note"]]),
        ]
        return [
            (words, fields, any(f.errors or (self.is_bound and f.data) for f in fields))
            for words, fields in folds
            if fields
        ]
