"""The form for what is wanted for sale, and by when."""

from datetime import date

from django import forms

from inventory.forms.catalogue import CatalogueForm
from inventory.forms.fields import PlantsField
from inventory.models import Container, Plant, Target
from inventory.queries.choices import usual_pot
from inventory.targets import coming_springs
from nursery.forms import DateInput

ANOTHER_DAY = "day"


class TargetForm(CatalogueForm):
    """So many plants of one kind in a container by a spring, or by another day."""

    plant = forms.ModelChoiceField(queryset=Plant.objects.all(), empty_label=None)
    quantity = PlantsField(label="How many?")
    container = forms.ModelChoiceField(
        label="Sold in",
        queryset=Container.objects.filter(in_use=True, kind=Container.Kind.SALE),
        empty_label=None,
    )
    when = forms.ChoiceField(label="Ready by")
    day = forms.DateField(label="The other day", required=False, widget=DateInput)
    assurance = forms.TypedChoiceField(
        label="How sure do you want to be?",
        choices=Target.Assurance.choices,
        coerce=int,
        help_text="The surer, the more are stuck to be on the safe side.",
    )
    note = forms.CharField(required=False, max_length=200)

    def __init__(self, *args, target: Target | None = None, **kwargs):
        super().__init__(*args, **kwargs)
        springs = coming_springs(date.today())
        self.fields["when"].choices = [
            *((day.isoformat(), f"{words}, {day.day} {day:%B}") for day, words in springs),
            (ANOTHER_DAY, "another day"),
        ]
        self.fields["when"].initial = springs[1][0].isoformat()
        self.fields["container"].initial = usual_pot()
        self.fields["assurance"].initial = Target.Assurance.SURELY
        self.fields["container"].label_from_instance = lambda row: f"{row.code}, {row.name}"
        if target:
            self._show(target)

    def _show(self, target):
        for name in ("plant", "quantity", "container", "assurance", "note"):
            self.fields[name].initial = getattr(target, name)
        day = target.ready_by.isoformat()
        known = dict(self.fields["when"].choices)
        self.fields["when"].initial = day if day in known else ANOTHER_DAY
        self.fields["day"].initial = None if day in known else target.ready_by
        # A container that went out of use since stays what it was.
        used = Container.objects.filter(pk=target.container_id)
        self.fields["container"].queryset |= used

    def clean(self):
        cleaned = super().clean()
        when = cleaned.get("when")
        if when and when != ANOTHER_DAY:
            cleaned["ready_by"] = date.fromisoformat(when)
        elif when and cleaned.get("day"):
            cleaned["ready_by"] = cleaned["day"]
        elif when and "day" not in self.errors:
            self.add_error("day", "Enter the day by which they are to be ready.")
        return cleaned

    def refuse(self, error) -> None:
        """Show a refusal at the field it names; the day is asked for in two of them."""
        if error.field == "ready_by":
            error.field = "day" if self.cleaned_data["when"] == ANOTHER_DAY else "when"
        super().refuse(error)

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        named = ("plant", "container", "quantity", "ready_by", "assurance", "note")
        return {name: self.cleaned_data[name] for name in named}
