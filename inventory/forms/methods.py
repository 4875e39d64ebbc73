"""Forms for methods, their steps, and what is noted of them."""

import calendar

from django import forms

from inventory.errors import LedgerError
from inventory.forms.catalogue import CatalogueForm
from inventory.forms.fields import TypedFromList
from inventory.hormone import Dilution, dilute, milligrams_in
from inventory.models import HormoneForm, Method, MethodStep, Plant, Wood
from inventory.names import search_key
from inventory.queries import choices
from inventory.step_days import offset_words, read_offset
from nursery.forms import OperationForm

Timing = MethodStep.Timing
MONTHS = [("", "month"), *((n, calendar.month_name[n]) for n in range(1, 13))]


def ppm_field(label: str, **kwargs) -> forms.IntegerField:
    """Return a field for a strength in parts per million."""
    widget = forms.NumberInput(attrs={"inputmode": "numeric", "step": 1})
    return forms.IntegerField(
        label=label, min_value=1, max_value=1_000_000, widget=widget, **kwargs
    )


class MethodForm(CatalogueForm):
    """What a method is called, for which plants, and where it is from."""

    name = forms.CharField(max_length=80, help_text="Such as Yew in winter, under heat.")
    wood = forms.ChoiceField(label="From", choices=Wood)
    plant = forms.CharField(
        label="Only for one plant",
        required=False,
        max_length=120,
        help_text="Empty: for all plants begun in this way.",
    )
    source = forms.CharField(
        label="Where it is from",
        required=False,
        max_length=200,
        help_text="A book, a trial, your own practice.",
    )
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, *args, method: Method | None = None, **kwargs):
        if method:
            names = ("name", "wood", "plant", "source", "note")
            kwargs["initial"] = {name: getattr(method, name) for name in names} | kwargs.get(
                "initial", {}
            )
        super().__init__(*args, **kwargs)
        self.fields["name"].widget.attrs["autofocus"] = True
        self.fields["plant"].widget = TypedFromList(choices.plant_names())

    def clean_plant(self) -> Plant | None:
        name = self.cleaned_data["plant"]
        plant = Plant.objects.filter(search_key=search_key(name)).first() if name else None
        if name and plant is None:
            raise forms.ValidationError(f"{name} is not on the list of plants. Add it there first.")
        return plant


class CopyForm(MethodForm):
    """The name of a copy, and the plant it is for."""

    field_order = ("name", "plant")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("wood", "source", "note"):
            del self.fields[name]


class StepForm(CatalogueForm):
    """What is done, and when it is its time."""

    work = forms.ChoiceField(label="What is done", choices=MethodStep.Work)
    name = forms.CharField(
        label="What you call it", max_length=80, required=False, help_text="Empty: as above."
    )
    after = forms.ModelChoiceField(
        label="Counted from",
        queryset=MethodStep.objects.none(),
        required=False,
        empty_label="the start of the batch",
    )
    timing = forms.ChoiceField(label="When", choices=Timing, initial=Timing.DAYS)
    from_days = forms.CharField(
        label="From",
        max_length=20,
        required=False,
        help_text="14, 10 weeks, or 2 weeks before a frost or season.",
    )
    to_days = forms.CharField(
        label="To", max_length=20, required=False, help_text="Empty: the same."
    )
    first_day = forms.IntegerField(label="First day", required=False, min_value=1, max_value=31)
    first_month = forms.TypedChoiceField(
        label="of", required=False, choices=MONTHS, coerce=int, empty_value=None
    )
    last_day = forms.IntegerField(label="Last day", required=False, min_value=1, max_value=31)
    last_month = forms.TypedChoiceField(
        label="of", required=False, choices=MONTHS, coerce=int, empty_value=None
    )
    hormone_form = forms.ChoiceField(
        label="Hormone", required=False, choices=[("", "none"), *HormoneForm.choices]
    )
    hormone_ppm = ppm_field("Strength in ppm", required=False)
    note = forms.CharField(required=False, max_length=200)
    source = forms.CharField(label="Where it is from", required=False, max_length=200)

    main = ("work", "name", "timing", "after", "from_days", "to_days")
    by_date = ("first_day", "first_month", "last_day", "last_month")
    folded = ("hormone_form", "hormone_ppm", "note", "source")

    def __init__(self, *args, method: Method, step: MethodStep | None = None, **kwargs):
        if step:
            kwargs["initial"] = {
                name: getattr(step, name) for name in self.base_fields if name in vars(step)
            }
            kwargs["initial"] |= {
                "after": step.after_id,
                "from_days": offset_words(step.from_days),
                "to_days": offset_words(step.to_days),
            }
        super().__init__(*args, **kwargs)
        others = method.steps.filter(is_removed=False).order_by("position")
        self.fields["after"].queryset = others.exclude(pk=step.pk) if step else others

    def clean_from_days(self):
        return self._days("from_days")

    def clean_to_days(self):
        return self._days("to_days")

    def _days(self, name):
        text = self.cleaned_data[name]
        if not text:
            return None
        try:
            return read_offset(text)
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error

    def clean(self):
        cleaned = super().clean()
        cleaned["name"] = (
            cleaned.get("name")
            or dict(MethodStep.Work.choices).get(cleaned.get("work"), "").capitalize()
        )
        if self.errors:
            return cleaned
        if cleaned["timing"] == Timing.CALENDAR:
            cleaned |= {"from_days": 0, "to_days": 0}
            self._look_at_dates(cleaned)
        else:
            cleaned |= dict.fromkeys(self.by_date)
            self._look_at_days(cleaned)
        return cleaned

    def _look_at_dates(self, cleaned):
        for name in self.by_date:
            if not cleaned.get(name):
                self.add_error(name, "Say the first and the last day, such as 15 July.")

    def _look_at_days(self, cleaned):
        first = cleaned["from_days"]
        if first is None:
            self.add_error("from_days", "Say how long: 14, 10 weeks, or 0 for the day itself.")
            return
        cleaned["to_days"] = first if cleaned["to_days"] is None else cleaned["to_days"]
        if cleaned["to_days"] < first:
            self.add_error("to_days", "It ends before it begins. Write the later one here.")
        if cleaned["timing"] == Timing.DAYS and first < 0:
            self.add_error("from_days", "A step cannot come before what it is counted from.")

    def main_fields(self):
        """Return the fields that are always seen."""
        return [self[name] for name in self.main]

    def folded_fields(self):
        """Return (what the fold says, its fields, whether it stands open)."""
        folds = (
            ("Between two days of the year", self.by_date),
            ("Hormone, note, where it is from", self.folded),
        )
        rows = [(words, [self[name] for name in names]) for words, names in folds]
        return [(words, rows, any(f.errors or f.value() for f in rows)) for words, rows in rows]


class TickForm(OperationForm):
    """When a step was done, or why it is left out."""

    reason = forms.CharField(
        label="Left out because",
        required=False,
        max_length=200,
        help_text="Only where it was not done: rooted early, too wet, sold.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        del self.fields["note"]


class DilutionForm(forms.Form):
    """How strong the stock is, how strong and how much it shall be."""

    stock_ppm = ppm_field("The product has, in ppm", initial=10_000, help_text="1 % is 10,000 ppm.")
    wanted_ppm = ppm_field("You want, in ppm", initial=3000)
    wanted_ml = forms.DecimalField(
        label="How much of it, in millilitres",
        min_value=1,
        max_value=1_000_000,
        max_digits=8,
        decimal_places=1,
        initial=100,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"}),
    )

    def dilution(self) -> Dilution | None:
        """Return the dilution asked for, or None with the reason at its field."""
        if not self.is_valid():
            return None
        data = self.cleaned_data
        try:
            return dilute(data["stock_ppm"], data["wanted_ppm"], data["wanted_ml"])
        except ValueError as error:
            self.add_error("wanted_ppm", LedgerError(str(error)).args[0])
            return None

    @property
    def milligrams(self):
        """The milligrams of active ingredient in what is made."""
        return milligrams_in(self.cleaned_data["wanted_ppm"], self.cleaned_data["wanted_ml"])
