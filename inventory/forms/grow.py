"""Forms for plants that go on growing: pot up, move, blend."""

from functools import cached_property

from django import forms
from django.urls import reverse
from django.utils.html import format_html

from inventory.forms.fields import (
    CauseField,
    ContainerField,
    CostFields,
    PlaceField,
    PlantsField,
    TreatmentFields,
    TypedFromList,
)
from inventory.forms.lot_form import LotForm
from inventory.forms.supply_uses import UsesFields
from inventory.models import LossCause, Lot, Recipe
from inventory.queries import choices
from inventory.queries.next_code import next_part_code, next_pot_code
from inventory.queries.supplies import recipe_for


class PotUpForm(UsesFields, TreatmentFields, CostFields, LotForm):
    """How many go into which container, and where they stand then."""

    quantity = PlantsField(label="How many do you pot up?", autofocus=True)
    container = ContainerField(label="Into", empty_label=None)
    to_lot = forms.CharField(label="Lot", required=False, max_length=24)
    place = PlaceField(label="Place", required=False)
    lost = PlantsField(label="Lost on the way", required=False, least=0)
    cause = CauseField(label="Lost to", required=False, empty_label=None)

    recipe_kind = Recipe.Kind.POT_UP.value
    main = ("quantity", "container", "place", "to_lot", "on")
    folds = (("Some were lost on the way", ("lost", "cause")),)

    def __init__(self, *args, lot, **kwargs):
        super().__init__(*args, lot=lot, **kwargs)
        container = choices.next_container(lot.container) or lot.container
        self.fields["container"].initial = container
        self.fields["place"].initial = choices.last_place("pot_up")
        self.fields["cause"].initial = LossCause.objects.filter(code="cull").first()
        proposed = next_pot_code(lot, container)
        _offer_lots(self.fields["to_lot"], lot, proposed, same_container=False)

    @cached_property
    def recipe(self) -> Recipe | None:
        """The recipe of this plant, or of all plants, for the container."""
        return recipe_for(self.recipe_kind, self.cleaned_data["container"], self.lot.plant)

    @property
    def receiving_code(self) -> str:
        """Return the code that was named, else a new one for the container."""
        data = self.cleaned_data
        return data["to_lot"] or next_pot_code(self.lot, data["container"])

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        data = self.cleaned_data
        named = ("request_id", "quantity", "container", "place", "on", "cause", "treatment")
        return {
            **{name: data[name] for name in named},
            "lot": self.lot,
            "lost": data["lost"] or 0,
            "to_lot": self.receiving_code,
            "costs": self.costs,
            "uses": self.uses,
            "note": self.note_with_reason,
        }


class MoveForm(LotForm):
    """Where a lot goes, or how much of it."""

    place = PlaceField(label="To", empty_label=None)
    quantity = PlantsField(label="How many?", autofocus=True, required=False)
    to_lot = forms.CharField(label="Lot of the part that moves", required=False, max_length=24)

    main = ("quantity", "place", "on")
    folds = (("Only a part moves: its lot code", ("to_lot",)),)

    def __init__(self, *args, lot, **kwargs):
        super().__init__(*args, lot=lot, **kwargs)
        self.proposed = next_part_code(lot)
        self.fields["quantity"].help_text = f"Left empty, all {lot.balance.on_hand} move."
        self.fields["quantity"].widget.attrs["placeholder"] = lot.balance.on_hand
        self.fields["place"].initial = choices.another_place(lot)
        self.fields["place"].help_text = format_html(
            'Not on the list? <a href="{}">Add the place</a> first.',
            reverse("inventory:place-add"),
        )
        _offer_lots(self.fields["to_lot"], lot, self.proposed, same_container=True)

    def what_of(self, held: int) -> dict:
        """Return what the verb needs to know, where the lot holds `held` that day."""
        data = self.cleaned_data
        quantity = data["quantity"] or held
        part = quantity != held
        return {
            **{name: data[name] for name in ("request_id", "place", "on", "note")},
            "lot": self.lot,
            "quantity": quantity,
            "to_lot": (data["to_lot"] or self.proposed) if part else "",
        }


class BlendForm(LotForm):
    """Which lot of the same plant and container this one joins."""

    to_lot = forms.ModelChoiceField(
        label="Joins lot", queryset=Lot.objects.none(), empty_label=None
    )

    main = ("to_lot", "on")

    def __init__(self, *args, lot, **kwargs):
        super().__init__(*args, lot=lot, **kwargs)
        alike = choices.lots_like(lot, same_container=True)
        field = self.fields["to_lot"]
        field.queryset = Lot.objects.filter(pk__in=[row.pk for row in alike])
        field.choices = [(row.pk, _words(row)) for row in alike]
        field.widget.attrs["autofocus"] = True

    @property
    def what(self) -> dict:
        """Return what the verb needs to know."""
        named = ("request_id", "to_lot", "on", "note")
        return {"lot": self.lot, **{name: self.cleaned_data[name] for name in named}}


def _offer_lots(field, lot, proposed, *, same_container):
    standing = choices.lots_like(lot, same_container=same_container)
    field.widget = TypedFromList([(row.lot.code, _words(row)) for row in standing])
    field.widget.attrs |= {"placeholder": proposed, "maxlength": 24}
    field.help_text = "Left empty, they become a new lot."
    if standing:
        field.help_text += " Or name a lot that stands already."


def _words(row):
    where = f", {row.place}" if row.place else ""
    return f"{row.lot.code}: {row.on_hand} in {row.lot.container}{where}"
