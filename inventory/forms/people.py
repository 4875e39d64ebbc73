"""The form for somebody who works at the nursery."""

from django import forms

from inventory.forms.catalogue import CatalogueForm
from inventory.forms.fields import MoneyInputField
from inventory.forms.supplies import trimmed
from inventory.models import Person


class PersonForm(CatalogueForm):
    """A name, and what an hour costs."""

    name = forms.CharField(max_length=60)
    hourly_rate = MoneyInputField(
        label="What an hour costs",
        max_value=1_000_000,
        help_text="Wage with what comes on top of it. For your own time, what an hour is worth "
        "to you; 0 leaves it out of the cost of plants.",
    )
    is_own = forms.BooleanField(label="My own time, not paid out", required=False)

    def __init__(self, *args, person: Person | None = None, **kwargs):
        if person:
            names = ("name", "hourly_rate", "is_own")
            kwargs["initial"] = {name: trimmed(getattr(person, name)) for name in names}
        super().__init__(*args, **kwargs)
        self.fields["name"].widget.attrs["autofocus"] = True
