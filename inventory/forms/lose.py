"""Forms for plants found dead, or found at all: rooted count, count, and the walk's sheet."""

from datetime import date

from django import forms

from inventory.forms.fields import (
    TREATMENT_WORDS,
    CauseField,
    LightSelect,
    PlaceField,
    PlantsField,
    ReasonToNote,
    TreatmentFields,
)
from inventory.forms.lot_form import LotForm
from inventory.models import Container, LossCause
from inventory.operations.walk import Looked
from inventory.queries.sheet import SheetRow
from nursery.forms import DateInput, OperationForm

LARGEST_KEY = 2**63 - 1


class CountedForm(TreatmentFields, LotForm):
    """How many are there, and what the others were lost to."""

    cause = CauseField(label="The others were lost to", required=False, empty_label=None)

    usual_cause = ""
    counted = ""

    def __init__(self, *args, lot, **kwargs):
        super().__init__(*args, lot=lot, **kwargs)
        self.fields["cause"].initial = LossCause.objects.filter(code=self.usual_cause).first()

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        named = ("request_id", self.counted, "on", "cause", "treatment")
        return {
            "lot": self.lot,
            "note": self.note_with_reason,
            **{name: self.cleaned_data[name] for name in named},
        }


class RootCountForm(CountedForm):
    """How many cuttings rooted."""

    alive = PlantsField(label="How many have rooted?", autofocus=True, least=0)

    main = ("alive", "cause", "on")
    usual_cause, counted = "not rooted", "alive"


class CountForm(CountedForm):
    """How many plants are there."""

    found = PlantsField(label="How many are there?", autofocus=True, least=0)

    main = ("found", "cause", "on")
    usual_cause, counted = "count", "found"

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["cause"].label = "If some are missing, they were lost to"


class SheetChoiceForm(forms.Form):
    """Which lots the sheet is for, and which day."""

    on = forms.DateField(label="Day", required=False, widget=DateInput)
    place = PlaceField(label="Place", required=False, empty_label="everywhere")
    container = forms.ModelChoiceField(
        label="Container", queryset=Container.objects.all(), required=False, empty_label="all"
    )
    lot = forms.IntegerField(required=False, max_value=LARGEST_KEY, widget=forms.HiddenInput)

    def chosen(self) -> dict:
        """Return what was chosen, leaving out what cannot be understood or lies ahead."""
        self.full_clean()
        found = self.cleaned_data
        on = found.get("on") or date.today()
        lots = {name: found.get(name) for name in ("place", "container", "lot")}
        return {"on": min(on, date.today()), **lots}


class SheetForm(ReasonToNote, OperationForm):
    """A sheet of lots: what the sheet says they hold, and how many are alive now."""

    cause_for_all = CauseField(label="Lost to", empty_label=None)
    reason = forms.CharField(label="Why it counts so", required=False, max_length=200)

    def __init__(self, *args, rows: list[SheetRow], **kwargs):
        super().__init__(*args, **kwargs)
        self.rows = rows
        self.left_off = 0
        self.fields["on"].widget = forms.HiddenInput()
        self.causes = list(LossCause.objects.all())
        self.fields["cause_for_all"].initial = next(
            (cause.pk for cause in self.causes if cause.code == "winter"), None
        )
        same = [("", "as above"), *((cause.pk, cause.name) for cause in self.causes)]
        for row in rows:
            self._add_row(row, same)

    def _add_row(self, row, causes):
        key, code = row.lot.pk, row.lot.code
        self.fields[f"alive_{key}"] = alive = PlantsField(
            label=f"{code}, alive now", required=False, least=0
        )
        alive.widget.attrs |= {"aria-label": alive.label, "enterkeyhint": "next"}
        self.fields[f"cause_{key}"] = cause = forms.TypedChoiceField(
            label=f"{code}, lost to",
            choices=causes,
            required=False,
            coerce=int,
            empty_value=None,
            widget=LightSelect,
        )
        cause.widget.attrs["aria-label"] = cause.label
        self.fields[f"held_{key}"] = forms.IntegerField(
            label=f"{code}, on the sheet", required=False, widget=forms.HiddenInput
        )
        self.fields[f"held_{key}"].initial = row.on_hand
        self.fields[f"treatment_{key}"] = treatment = forms.ChoiceField(
            label=f"{code}, counts", choices=TREATMENT_WORDS, required=False
        )
        treatment.widget.attrs["aria-label"] = treatment.label

    def clean(self):
        cleaned = super().clean()
        overruled = [row for row in self.rows if cleaned.get(f"treatment_{row.lot.pk}")]
        if overruled and not cleaned.get("reason"):
            self.add_error("reason", "You count it otherwise than the stage expects: say why.")
        if not self.errors and not any(self._alive(row) is not None for row in self.rows):
            self.add_error(None, "Enter how many are alive for at least one lot.")
        return cleaned

    def with_fields(self):
        """Return each row with its fields, as the page shows it."""
        names = ("alive", "cause", "held", "treatment")
        return [(row, {name: self[f"{name}_{row.lot.pk}"] for name in names}) for row in self.rows]

    def looked(self) -> list[Looked]:
        """Return what was seen of the lots that were looked at."""
        by_key = {cause.pk: cause for cause in self.causes}
        return [
            Looked(
                row.lot,
                self._alive(row),
                by_key.get(self.cleaned_data[f"cause_{row.lot.pk}"])
                or self.cleaned_data["cause_for_all"],
                self._held(row),
                self.cleaned_data[f"treatment_{row.lot.pk}"],
            )
            for row in self.rows
            if self._alive(row) is not None
        ]

    def aged(self) -> str:
        """Say which of the lots looked at no longer hold what the sheet says."""
        changed = [
            f"Lot {row.lot} held {self._held(row)} when the sheet was made, {row.on_hand} now."
            for row in self.rows
            if self._alive(row) is not None and self._held(row) != row.on_hand
        ]
        return " ".join(changed)

    def take_new_figures(self) -> None:
        """Let the sheet say what the lots hold now, keeping what was typed."""
        self.data = self.data.copy()
        for row in self.rows:
            self.data[f"held_{row.lot.pk}"] = str(row.on_hand)

    def _alive(self, row):
        return self.cleaned_data.get(f"alive_{row.lot.pk}")

    def _held(self, row):
        held = self.cleaned_data.get(f"held_{row.lot.pk}")
        return row.on_hand if held is None else held
