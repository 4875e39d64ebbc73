"""Forms for plants that leave without a sale, and for money that joins a lot."""

from django import forms

from inventory.costing.categories import CATEGORIES
from inventory.forms.fields import MoneyInputField, PlantsField
from inventory.forms.lot_form import LotForm
from inventory.queries.wording import CATEGORY_WORDS


class TakeOutForm(LotForm):
    """How many plants are used on the place, or given away."""

    quantity = PlantsField(label="How many?", autofocus=True)

    main = ("quantity", "on")

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        named = ("request_id", "quantity", "on", "note")
        return {"lot": self.lot, **{name: self.cleaned_data[name] for name in named}}


class AddCostForm(LotForm):
    """How much money, and what it was spent on."""

    amount = MoneyInputField(label="How much?")
    category = forms.ChoiceField(
        label="Spent on",
        choices=[(category, CATEGORY_WORDS[category].capitalize()) for category in CATEGORIES],
        initial="labour",
    )

    main = ("amount", "category", "on")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["amount"].widget.attrs["autofocus"] = True

    def clean_amount(self):
        amount = self.cleaned_data["amount"]
        if not amount:
            raise forms.ValidationError("Enter an amount above nothing, such as 12.50.")
        return amount

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        data = self.cleaned_data
        named = ("request_id", "on", "note")
        return {
            "lot": self.lot,
            "costs": {data["category"]: data["amount"]},
            **{name: data[name] for name in named},
        }
