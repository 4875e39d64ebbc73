"""Forms for what one plant takes, and for which recipe to write."""

from decimal import Decimal

from django import forms

from inventory.forms.catalogue import CatalogueForm
from inventory.forms.fields import ContainerField
from inventory.forms.supplies import trimmed
from inventory.forms.supply_uses import QuantityInputField
from inventory.models import Plant, Recipe, Supply

MOST_FOR_ONE_PLANT = 10_000


class RecipeForm(CatalogueForm):
    """One number for each supply: how much of it one plant takes."""

    minutes = QuantityInputField(
        label="Minutes of work",
        required=False,
        max_value=MOST_FOR_ONE_PLANT,
        help_text="For one plant: 90 pots in an hour are 0.667 minutes each.",
    )

    def __init__(self, *args, recipe: Recipe | None = None, **kwargs):
        super().__init__(*args, **kwargs)
        lines = {line.supply_id: line.quantity for line in recipe.lines.all()} if recipe else {}
        supplies = sorted(Supply.objects.all(), key=lambda supply: supply.pk not in lines)
        self.supplies = {f"supply_{supply.pk}": supply for supply in supplies}
        for name, supply in self.supplies.items():
            self.fields[name] = QuantityInputField(
                label=f"{supply.name}, {supply.get_unit_display()}",
                required=False,
                max_value=MOST_FOR_ONE_PLANT,
                initial=trimmed(lines.get(supply.pk)),
                help_text=_settles(supply),
            )
        self.fields["minutes"].initial = trimmed(recipe.minutes) if recipe else None

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        data = self.cleaned_data
        quantities = {supply: data[name] or Decimal(0) for name, supply in self.supplies.items()}
        return {"minutes": data["minutes"] or Decimal(0), "quantities": quantities}

    def shown_fields(self):
        """Return the fields of the page, the supplies before the minutes."""
        return [self[name] for name in (*self.supplies, "minutes")]


class WhichRecipeForm(forms.Form):
    """For what work, which container and which plant a recipe is to be written."""

    kind = forms.ChoiceField(label="For", choices=Recipe.Kind.choices, initial="pot_up")
    container = ContainerField(label="Into", empty_label=None)
    plant = forms.ModelChoiceField(
        label="Plant", queryset=Plant.objects.all(), required=False, empty_label="all plants"
    )


def _settles(supply):
    if not supply.settling_percent:
        return ""
    return (
        f"As it lies in the pot: it settles by {trimmed(supply.settling_percent)} percent, which "
        "is added by itself."
    )
