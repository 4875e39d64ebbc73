"""Plants that come back."""

from django import forms

from inventory.models import LossCause, Lot
from nursery.forms import OperationForm

RESTOCK, DISCARD = "restock", "discard"


class TakeBackForm(OperationForm):
    """How many of each lot came back, and whether they can be sold again."""

    what_then = forms.ChoiceField(
        label="What happens to them?",
        choices=[
            (RESTOCK, "Back to their lot, to be sold again"),
            (DISCARD, "Thrown away: they count as lost"),
        ],
        widget=forms.RadioSelect,
        initial=RESTOCK,
    )
    cause = forms.ModelChoiceField(
        LossCause.objects.all(),
        required=False,
        label="Lost to, where thrown away",
        empty_label="Say why",
    )

    def __init__(self, *args, plants: list[tuple[Lot, int]], **kwargs):
        super().__init__(*args, **kwargs)
        self.plants = plants
        self.fields["note"].help_text = "Printed on the credit note."
        for lot, out in plants:
            self.fields[f"back_{lot.pk}"] = forms.IntegerField(
                label=f"{lot.plant} {lot.container}",
                required=False,
                min_value=0,
                max_value=out,
                help_text=f"of {out} from lot {lot.code}",
                error_messages={
                    "max_value": f"{out} of lot {lot.code} are out; enter {out} or fewer."
                },
            )
        self.order_fields([*(f"back_{lot.pk}" for lot, _ in plants), "what_then", "cause", "on"])

    def rows(self):
        """Yield (lot, plants out, field) for the page."""
        for lot, out in self.plants:
            yield lot, out, self[f"back_{lot.pk}"]

    def clean(self):
        cleaned = super().clean()
        chosen = [cleaned.get(f"back_{lot.pk}") for lot, _ in self.plants]
        if not any(chosen) and not self.errors:
            raise forms.ValidationError("Say how many plants came back.")
        if cleaned.get("what_then") == DISCARD and not cleaned.get("cause"):
            self.add_error("cause", "Say why they are thrown away: it goes into the losses.")
        return cleaned

    def take_back(self) -> dict:
        """Return what `take_back` takes."""
        cleaned = self.cleaned_data
        return {
            "plants": [(lot, n) for lot, _ in self.plants if (n := cleaned.get(f"back_{lot.pk}"))],
            "restock": cleaned["what_then"] == RESTOCK,
            "cause": cleaned["cause"] if cleaned["what_then"] == DISCARD else None,
            "on": cleaned["on"],
            "note": cleaned["note"],
            "request_id": cleaned["request_id"],
        }
