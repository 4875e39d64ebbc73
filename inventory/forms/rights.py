"""Form fields for whose right a plant is: what must be known before it is propagated."""

from django import forms

from inventory.models import Batch, Plant

PROTECTED_KINDS = (Batch.Kind.STICK, Batch.Kind.SOW, Batch.Kind.DIVIDE)


class RightFields(forms.Form):
    """A tick for whoever propagates a protected plant without a licence on record."""

    right_confirmed = forms.BooleanField(
        label="I have the owner's leave, or know that none is needed", required=False
    )

    needs_confirmation = False

    def look_at_right(self, cleaned: dict) -> None:
        """Ask once for a tick where the plant is protected and no licence is recorded."""
        right = self.right
        self.needs_confirmation = bool(right) and not self.known_plant.licence
        if self.needs_confirmation and not cleaned.get("right_confirmed"):
            self.add_error(
                "right_confirmed",
                f"Protected: {right.rstrip('.')}. No licence is recorded for {self.known_plant}. "
                "Propagating it needs its owner's leave: record the licence with the plant, "
                "or confirm by a tick here. It is kept with the entry.",
            )

    @property
    def right(self) -> str:
        """The right in force on the day of the entry, where it begins new plants."""
        plant: Plant | None = self.known_plant
        on = self.cleaned_data.get("on")
        if plant is None or on is None or self.kind not in PROTECTED_KINDS:
            return ""
        return plant.right_on(on)

    @property
    def caution(self) -> str:
        """Say what the plant is: whose right it is, that it is poisonous or regulated."""
        plant = self.known_plant
        if plant is None:
            return ""
        told = []
        if self.right:
            under = f"Licence: {plant.licence}." if plant.licence else "No licence is recorded."
            told.append(f"Protected: {self.right.rstrip('.')}. {under}")
        if plant.poisonous:
            told.append(f"Poisonous: {plant.poisonous}")
        if plant.regulated:
            told.append(f"Regulated: {plant.regulated}")
        return " ".join(told)

    @property
    def costs(self) -> dict:
        """Return the amounts entered, with the royalty of each plant where none was."""
        costs = super().costs
        plant = self.known_plant
        if self.right and plant.royalty and self.cleaned_data.get("cost_royalty") is None:
            costs["royalty"] = plant.royalty * self.cleaned_data["quantity"]
        return costs

    @property
    def note_with_confirmation(self) -> str:
        """Return the note, with what was confirmed."""
        said = (
            f"Confirmed without a licence on record: {self.right}."
            if self.needs_confirmation
            else ""
        )
        return "\n".join(filter(None, (self.cleaned_data["note"], said)))
