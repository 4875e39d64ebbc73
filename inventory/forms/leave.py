"""Forms for plants that leave without a sale, and for money that joins a lot."""

from django import forms

from inventory.costing.categories import CATEGORIES
from inventory.forms.fields import MoneyInputField, PlantsField
from inventory.forms.lot_form import LotForm
from inventory.forms.supply_uses import UsesFields
from inventory.held import held_of_lots
from inventory.queries.wording import CATEGORY_WORDS


class TakeOutForm(LotForm):
    """How many plants are used on the place, or given away."""

    quantity = PlantsField(label="How many?", autofocus=True)
    despite_holds = forms.BooleanField(
        required=False,
        label="All the same, though they are promised",
        help_text="Asked only where plants held for a buyer would be missing.",
    )

    main = ("quantity", "on")

    def main_fields(self):
        """Return the fields that are always seen, and the tick where plants are held."""
        asked = self.lot.pk in held_of_lots() or "despite_holds" in self.errors
        return super().main_fields() + ([self["despite_holds"]] if asked else [])

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        named = ("request_id", "quantity", "on", "note", "despite_holds")
        return {"lot": self.lot, **{name: self.cleaned_data[name] for name in named}}


class AddCostForm(UsesFields, LotForm):
    """How much money, and what it was spent on; or what was used, and whose time."""

    amount = MoneyInputField(label="How much?", required=False)
    category = forms.ChoiceField(
        label="Spent on",
        choices=[(category, CATEGORY_WORDS[category].capitalize()) for category in CATEGORIES],
        initial="labour",
    )

    main = ("amount", "category", "on")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["amount"].widget.attrs["autofocus"] = True

    def clean(self):
        cleaned = super().clean()
        if not self.errors and not self.costs and not self.takes:
            self.add_error("amount", "Enter an amount above nothing, such as 12.50.")
        return cleaned

    @property
    def costs(self) -> dict:
        """Return the amount by its category, where there is one."""
        data = self.cleaned_data
        return {data["category"]: data["amount"]} if data["amount"] else {}

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        data = self.cleaned_data
        named = ("request_id", "on", "note")
        return {
            "lot": self.lot,
            "costs": self.costs,
            "uses": self.uses,
            **{name: data[name] for name in named},
        }
