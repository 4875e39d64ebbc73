"""Form fields for what an entry takes: supplies by the recipe, and somebody's minutes."""

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from django import forms

from inventory.models import Person, Recipe, Supply
from inventory.operations.spending import Use, Work
from inventory.queries.recipe_list import last_worker
from inventory.queries.supplies import cost_of_work, quantities_for
from inventory.queries.supply_list import rows_by_supply
from inventory.queries.supply_page import measured
from nursery.money import to_millionths

LARGEST = Decimal(1_000_000_000)


class QuantityInputField(forms.DecimalField):
    """A quantity of a supply, or minutes: not below nothing, with what decimals it needs."""

    def __init__(self, **kwargs):
        attrs = {"inputmode": "decimal", "step": "any", "autocomplete": "off"}
        kwargs = {"min_value": 0, "max_digits": 15, "decimal_places": 6, **kwargs}
        kwargs.setdefault("max_value", LARGEST)
        super().__init__(widget=forms.NumberInput(attrs=attrs), **kwargs)


@dataclass(frozen=True)
class Taking:
    """One line of what an entry will take, before it is saved."""

    name: str
    quantity: Decimal
    unit: str
    cost: Decimal
    on_hand: Decimal | None = None

    @property
    def words(self) -> str:
        """Say how much of it: 88.64 litres."""
        return f"{measured(self.quantity)} {self.unit}"

    @property
    def left(self) -> str:
        """Say how much is there before."""
        return "" if self.on_hand is None else measured(self.on_hand)

    @property
    def short_words(self) -> str:
        """Say how much is missing, where some is."""
        return f"{measured(self.short)} short" if self.short else ""

    @property
    def short(self) -> Decimal:
        """How much more is used than the books say is there."""
        if self.on_hand is None:
            return Decimal(0)
        return max(self.quantity - self.on_hand, Decimal(0))


class UsesFields(forms.Form):
    """Supplies and time an entry uses. An empty field follows the recipe, a 0 takes none.

    A form with a recipe sets `recipe_kind`, and answers `recipe` and `plants` once it is clean.
    """

    recipe_kind = ""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.supplies = list(Supply.objects.all())
        for supply in self.supplies:
            words = f"{supply.name}, {supply.get_unit_display()}"
            self.fields[f"use_{supply.pk}"] = QuantityInputField(label=words, required=False)
        people = Person.objects.all()
        if people:
            self.fields["person"] = forms.ModelChoiceField(
                label="Whose time", queryset=people, required=False, empty_label="not counted"
            )
            self.fields["person"].initial = last_worker(self.recipe_kind)
            self.fields["minutes"] = QuantityInputField(label="Minutes in all", required=False)
        if self.recipe_kind and self.uses_fields():
            self._say_that_empty_follows_the_recipe()

    def clean(self):
        cleaned = super().clean()
        if not self.errors:
            try:
                to_millionths(sum((one.cost for one in self.takes), Decimal(0)))
            except ValueError:
                self.add_error(None, "That is more than the ledger can hold. Check the numbers.")
        return cleaned

    @cached_property
    def recipe(self) -> Recipe | None:
        """The recipe for what was typed, or None."""
        return None

    @property
    def plants(self) -> int:
        """The plants that a recipe is reckoned for."""
        return self.cleaned_data["quantity"]

    @cached_property
    def quantities(self) -> list[tuple[Supply, Decimal]]:
        """What is used of each supply: as typed, else by the recipe."""
        planned = {}
        if self.recipe:
            planned = {row.pk: much for row, much in quantities_for(self.recipe, self.plants)}
        found = [(supply, self._typed_or(supply, planned)) for supply in self.supplies]
        return [(supply, quantity) for supply, quantity in found if quantity]

    @cached_property
    def time(self) -> tuple[Person, Decimal] | None:
        """Who worked how many minutes: as typed, else by the recipe."""
        person, minutes = self.cleaned_data.get("person"), self.cleaned_data.get("minutes")
        if minutes is None and self.recipe:
            minutes = self.recipe.minutes * self.plants
        return (person, minutes) if person and minutes else None

    @property
    def uses(self) -> list[Use | Work]:
        """Return what the verb needs to know."""
        used = [Use(supply, quantity) for supply, quantity in self.quantities]
        return [*used, Work(*self.time)] if self.time else used

    @property
    def takes(self) -> list[Taking]:
        """Return the lines to show before saving; none while the form is not right."""
        if not self.is_bound or self.errors:
            return []
        rows = rows_by_supply(supply for supply, _ in self.quantities) if self.quantities else {}
        found = [_taking(rows[supply.pk], quantity) for supply, quantity in self.quantities]
        if self.time:
            person, minutes = self.time
            cost = cost_of_work(person, minutes)
            found.append(Taking(str(person), minutes, "minutes", cost))
        return found

    @property
    def costs_foreseen(self) -> dict[str, Decimal]:
        """Return what the entry will cost in all: money entered, supplies and time."""
        foreseen = dict(getattr(self, "costs", {}))
        foreseen["uses"] = sum((taking.cost for taking in self.takes), Decimal(0))
        return foreseen

    def leave_uses_out(self) -> None:
        """Take the fields away, where an entry takes nothing that is counted."""
        for field in self.uses_fields():
            del self.fields[field.name]
        self.supplies = []

    def uses_fields(self):
        """Return the fields of the fold, as the page shows them."""
        names = [f"use_{supply.pk}" for supply in self.supplies]
        return [self[name] for name in (*names, "person", "minutes") if name in self.fields]

    def _typed_or(self, supply, planned):
        typed = self.cleaned_data.get(f"use_{supply.pk}")
        return planned.get(supply.pk, Decimal(0)) if typed is None else typed

    def _say_that_empty_follows_the_recipe(self):
        known = Recipe.objects.filter(kind=self.recipe_kind).values_list("lines__supply", "minutes")
        follows = {supply for supply, _ in known}
        for supply in self.supplies:
            if supply.pk in follows:
                self.fields[f"use_{supply.pk}"].widget.attrs["placeholder"] = "recipe"
        if "minutes" in self.fields and any(minutes for _, minutes in known):
            self.fields["minutes"].widget.attrs["placeholder"] = "recipe"


def _taking(row, quantity):
    unit = row.supply.get_unit_display()
    return Taking(row.name, quantity, unit, row.cost_of(quantity), row.on_hand)
