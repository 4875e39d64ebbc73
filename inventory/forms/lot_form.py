"""What the forms about one lot have in common."""

from inventory.models import Lot
from nursery.forms import OperationForm


class LotForm(OperationForm):
    """Something that happened to a lot on a day.

    `main` names the fields in the order of the page; `folds` are further ones,
    folded away: (what the fold says, names of its fields).
    """

    main: tuple[str, ...] = ()
    folds: tuple[tuple[str, tuple[str, ...]], ...] = ()

    def __init__(self, *args, lot: Lot, **kwargs):
        super().__init__(*args, **kwargs)
        self.lot = lot
        self.fields["note"].widget.attrs["rows"] = 2

    def clean_on(self):
        on = super().clean_on()
        if on < self.lot.began_on:
            self.add_error(
                "on",
                f"Lot {self.lot} began on {self.lot.began_on:%d %B %Y}. "
                "Enter that day or a later one.",
            )
        return on

    def touched_lots(self) -> set[int]:
        """Return the lots that a valid form is about: its own, and one that it names."""
        named = self.cleaned_data.get("to_lot")
        named = named.code if isinstance(named, Lot) else named
        other = Lot.objects.filter(code=named) if named else Lot.objects.none()
        return {self.lot.pk, *other.values_list("pk", flat=True)}

    def main_fields(self):
        """Return the fields that are always seen."""
        return [self[name] for name in self.main]

    def folded_fields(self):
        """Return (what the fold says, its fields, whether it stands open)."""
        shown = [(words, [self[name] for name in names]) for words, names in self.folds]
        if getattr(self, "supplies", None) or "person" in self.fields:
            shown.append(("What it takes", self.uses_fields()))
        if hasattr(self, "treatment_fields"):
            shown.append(("Count it otherwise than the stage expects", self.treatment_fields()))
        if hasattr(self, "cost_fields"):
            shown.append(("What it cost", self.cost_fields()))
        shown.append(("Note", [self["note"]]))
        return [(words, fields, any(map(_has_news, fields))) for words, fields in shown]


def _has_news(field):
    """Tell a field that was filled in, or refused, from one left as it came."""
    if field.errors:
        return True
    return field.form.is_bound and field.field.has_changed(field.initial, field.data)
