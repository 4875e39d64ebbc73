"""Form fields for how plants are begun: method, wood, hormone, medium, heat, and whose right."""

from collections.abc import Iterable
from dataclasses import replace

from django import forms

from inventory.forms.fields import TypedFromList
from inventory.forms.methods import ppm_field
from inventory.models import Batch, HormoneForm, Method, MethodStep, Person, Supply
from inventory.queries.methods import WOODS, methods_of, usual_method
from inventory.temperature import from_celsius, to_celsius, unit_of
from inventory.treatment import FIELDS, Treatment
from nursery.context import current_nursery

NONE = "none"
NOT_SAID = [("", "not said")]


class RaisingFields(forms.Form):
    """How a batch is raised and was treated; each of it may be left unsaid."""

    method = forms.ChoiceField(label="Method", required=False)
    wood = forms.ChoiceField(label="Wood", required=False)
    hormone = forms.CharField(label="Hormone product", required=False, max_length=60)
    hormone_form = forms.ChoiceField(
        label="Put on as", required=False, choices=[*NOT_SAID, *HormoneForm.choices]
    )
    hormone_ppm = ppm_field("Strength as used, in ppm", required=False)
    medium = forms.CharField(label="Medium", required=False, max_length=60)
    bottom_heat = forms.DecimalField(
        required=False,
        max_digits=4,
        decimal_places=1,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"}),
    )
    taken_by = forms.ModelChoiceField(
        label="Taken by", queryset=Person.objects.all(), required=False, empty_label="not said"
    )

    raising = ("method", "wood", "hormone", "hormone_form", "hormone_ppm", "medium", "bottom_heat")
    raising += ("taken_by",)

    def prepare_raising(self, kind: str, *, usual: str, supplies: Iterable[Supply]) -> None:
        """Offer what goes with a kind of batch; `usual` is what an empty method says."""
        offered = [(str(row.pk), row.name) for row in methods_of(kind)] if kind in WOODS else []
        self.fields["method"].choices = [("", usual), (NONE, "no method"), *offered]
        woods = [(wood.value, wood.label) for wood in WOODS.get(kind, ())]
        self.fields["wood"].choices = [*NOT_SAID, *woods]
        self.fields["bottom_heat"].label = f"Bottom heat, {unit_of(current_nursery())}"
        self.fields["hormone_ppm"].help_text = "1 percent is 10,000 ppm."
        for name, category in (("hormone", "feed"), ("medium", "medium")):
            offers = [row.name for row in supplies if row.category == category]
            self.fields[name].widget = TypedFromList(offers)

    def clean_bottom_heat(self):
        typed = self.cleaned_data["bottom_heat"]
        if typed is None:
            return None
        celsius = to_celsius(typed, current_nursery())
        if not 1 <= celsius <= 60:
            unit = unit_of(current_nursery())
            raise forms.ValidationError(f"{typed:g} {unit} would kill cuttings. Read it once more.")
        return celsius

    def method_for(self, plant, kind: str, on) -> Method | None:
        """Return the method chosen, or the plant's usual one where none was chosen."""
        chosen = self.cleaned_data.get("method", "")
        if chosen == NONE or kind not in WOODS:
            return None
        if chosen:
            return Method.objects.get(pk=chosen)
        return usual_method(plant, kind, on, current_nursery()) if plant else None

    def treatment_as_typed(self, method: Method | None) -> Treatment:
        """Return what was typed and nothing more."""
        typed = {name: self.cleaned_data.get(name) for name in self.raising}
        heat = typed.pop("bottom_heat")
        for name in ("wood", "hormone", "hormone_form", "medium"):
            typed[name] = typed[name] or ""
        typed["taken_by"] = typed["taken_by"] or self.cleaned_data.get("person")
        return Treatment(**typed | {"method": method, "bottom_heat_c": heat})

    def treatment_by(self, method: Method | None) -> Treatment:
        """Return what was typed; wood and hormone, left empty, are those of the method."""
        typed = self.treatment_as_typed(method)
        if method is None:
            return typed
        typed = replace(typed, wood=typed.wood or method.wood)
        step = method.steps.filter(work=MethodStep.Work.STICK, is_removed=False).first()
        if step is None or typed.hormone_form or typed.hormone_ppm:
            return typed
        return replace(typed, hormone_form=step.hormone_form, hormone_ppm=step.hormone_ppm)

    @staticmethod
    def treatment_of(batch: Batch) -> Treatment:
        """Return how a batch is raised and was treated."""
        return Treatment(**{name: getattr(batch, name) for name in ("method", *FIELDS)})

    @staticmethod
    def raising_of(batch: Batch) -> dict:
        """Return what the fields begin with for a batch that stands."""
        named = ("wood", "hormone", "hormone_form", "hormone_ppm", "medium", "taken_by")
        heat = batch.bottom_heat_c
        return {
            **{name: getattr(batch, name) for name in named},
            "method": str(batch.method_id or NONE),
            "bottom_heat": heat and from_celsius(heat, current_nursery()),
        }
