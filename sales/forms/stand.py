"""Forms of a stand day: open it, put plants out and bring them back, move money, close it."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from hashlib import sha256

from django import forms

from inventory.forms.fields import PlantsField
from inventory.models import LossCause, Lot, Place
from nursery.context import current_currency
from nursery.denominations import denominations
from nursery.forms import OperationForm
from sales.forms.amounts import AmountField, typed
from sales.models import BoxEntry, StandDay
from sales.operations import Left
from sales.queries.put_out import PutOut

NOTHING = Decimal(0)
ATTENDED, ALONE = "attended", "alone"
SOLD = "sold"
PUT_IN = "put_in"
Kind = BoxEntry.Kind


class OpenStandForm(OperationForm):
    """Where, with whom, and what is in the box."""

    place = forms.ModelChoiceField(Place.objects.all(), label="Where?", empty_label="Choose")
    who = forms.ChoiceField(
        label="Who sells?",
        choices=[(ATTENDED, "somebody is there"), (ALONE, "nobody: a box for the money")],
        widget=forms.RadioSelect,
        initial=ATTENDED,
    )
    began_with = AmountField(label="Cash in the box", help_text="The float: coins and notes.")
    plants_again = forms.BooleanField(label="Put out again what was left", required=False)

    field_order = ["place", "who", "began_with", "plants_again", "on", "note"]

    def __init__(self, data=None, *, last: StandDay | None, left: Mapping[Lot, int], **kwargs):
        super().__init__(data, initial=_as_before(last, left), **kwargs)
        self.left = left
        self.fields["note"].widget = forms.TextInput()
        if left:
            number = sum(left.values())
            self.fields["plants_again"].help_text = f"{number} plants were left there."
        else:
            del self.fields["plants_again"]

    def opening(self) -> dict:
        """Return what `open_stand` takes."""
        named = ("place", "began_with", "on", "note", "request_id")
        again = self.cleaned_data.get("plants_again")
        return {
            **{name: self.cleaned_data[name] for name in named},
            "attended": self.cleaned_data["who"] == ATTENDED,
            "plants": self.left if again else None,
        }


def _as_before(last, left):
    if last is None:
        return {"began_with": typed(NOTHING)}
    return {
        "place": last.place_id,
        "who": ATTENDED if last.attended else ALONE,
        "began_with": typed(last.began_with),
        "plants_again": bool(left),
    }


class LotsForm(OperationForm):
    """How many plants of some lots: a field `n-LOT` for each, the number there is beside it."""

    def __init__(self, data=None, *, lots: Iterable[tuple[Lot, int]], state=None, **kwargs):
        super().__init__(data, **kwargs)
        self.fields["note"].widget = forms.TextInput()
        self.initial |= {name: state[name] for name in ("on", "note") if state and name in state}
        self.lots = list(lots)
        for lot, most in self.lots:
            self.fields[f"n-{lot.pk}"] = PlantsField(
                label=f"Number of lot {lot}",
                required=False,
                least=0,
                initial=(state or {}).get(f"n-{lot.pk}"),
            )
            self.fields[f"n-{lot.pk}"].help_text = str(most)

    @property
    def rows(self):
        """Yield (lot, how many there are, field) for the page."""
        return [(lot, most, self[f"n-{lot.pk}"]) for lot, most in self.lots]

    def clean(self):
        cleaned = super().clean()
        if not self.errors and not self._plants():
            raise forms.ValidationError("Say of at least one lot how many plants.")
        return cleaned

    def moved(self) -> dict:
        """Return what `put_out` and `bring_back` take."""
        named = ("on", "note", "request_id")
        return {name: self.cleaned_data[name] for name in named} | {"plants": self._plants()}

    def _plants(self):
        numbers = {lot: self.cleaned_data.get(f"n-{lot.pk}") for lot, _ in self.lots}
        return {lot: number for lot, number in numbers.items() if number}


class MoneyForm(OperationForm):
    """Money out of the box, or into it, beside sales."""

    amount = AmountField(label="How much?")
    kind = forms.ChoiceField(
        label="Where did it go?",
        choices=[
            (Kind.PAID_OUT, "out: paid for something"),
            (Kind.BANK, "out: brought to the bank"),
            (Kind.SAFE, "out: to the house, or noted elsewhere"),
            (PUT_IN, "in: from the house, as change"),
        ],
        widget=forms.RadioSelect,
        initial=Kind.PAID_OUT,
    )

    field_order = ["amount", "kind", "note", "on"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["note"].widget = forms.TextInput()
        self.fields["note"].help_text = "What was paid for. Keep its receipt."

    def clean_amount(self):
        amount = self.cleaned_data["amount"]
        if amount <= 0:
            raise forms.ValidationError("Enter an amount above nothing.")
        return amount

    def moved(self) -> dict:
        """Return what `move_money` takes."""
        kind, amount = self.cleaned_data["kind"], self.cleaned_data["amount"]
        named = ("on", "note", "request_id")
        return {
            **{name: self.cleaned_data[name] for name in named},
            "kind": Kind.SAFE if kind == PUT_IN else kind,
            "amount": amount if kind == PUT_IN else -amount,
        }


class CloseStandForm(OperationForm):
    """The box by coin and note, the card reader's total, and the plants that are left.

    Coins and notes are fields `c-WORTH`, plants `left-LOT` with `gone-LOT` beside it: what
    became of those that are not there.
    """

    other = AmountField(label="Other cash, or all of it as one sum", required=False)
    card = AmountField(
        label="Total of the card reader",
        required=False,
        help_text="As the reader or its slip says. It is compared, nothing is booked.",
    )

    field_order = ["other", "card", "note", "on"]

    def __init__(self, data=None, *, day: StandDay, out: list[PutOut], **kwargs):
        super().__init__(data, **kwargs)
        self.fields["note"].widget = forms.TextInput()
        self.fields["note"].help_text = "Why it may be over or short, if you know."
        self.worths = denominations(current_currency())
        self.out = [row for row in out if row.open]
        for worth in self.worths:
            self.fields[f"c-{worth}"] = PlantsField(
                label=f"How many of {worth}",
                required=False,
                least=0,
                error_messages={"invalid": "Write how many there were, such as 14."},
            )
        # Plants for sale are rooted; that cause is of cuttings.
        lost = LossCause.objects.exclude(code="not rooted").values_list("code", "name")
        for row in self.out:
            self.fields[f"left-{row.lot_id}"] = PlantsField(
                label=f"Left of lot {row.lot}",
                least=0,
                error_messages={"required": "Count them; write 0 for none."},
            )
            self.fields[f"gone-{row.lot_id}"] = forms.ChoiceField(
                label=f"Those of lot {row.lot} that are not there",
                choices=[
                    (SOLD, "sold, not noted" if day.attended else "sold"),
                    ("lost", list(lost)),
                ],
                initial=SOLD,
            )

    @property
    def pieces(self):
        """Yield (worth, field) of each coin and note."""
        return [(worth, self[f"c-{worth}"]) for worth in self.worths]

    @property
    def rows(self):
        """Yield (what is out, field of those left, field of what became of the others)."""
        return [(row, self[f"left-{row.lot_id}"], self[f"gone-{row.lot_id}"]) for row in self.out]

    def clean(self):
        cleaned = super().clean()
        counted = [f"c-{worth}" for worth in self.worths] + ["other"]
        if not self.errors and all(cleaned.get(name) is None for name in counted):
            self.add_error("other", "Count the box. Write 0 where it is empty.")
        return cleaned

    @property
    def counted(self) -> str:
        """What was counted, in short: what is closed is what was checked, or is checked anew."""
        kept = {name: str(self.data.get(name, "")).strip() for name in self.fields}
        del kept["request_id"], kept["note"]
        return sha256(repr(sorted(kept.items())).encode()).hexdigest()

    @property
    def was_checked(self) -> bool:
        return self.data.get("counted") == self.counted

    def closing(self) -> dict:
        """Return what `close_stand` takes."""
        numbers = {worth: self.cleaned_data[f"c-{worth}"] or 0 for worth in self.worths}
        pieces = {str(worth): number for worth, number in numbers.items() if number}
        cash = sum((worth * number for worth, number in numbers.items()), NOTHING)
        named = ("on", "note", "card", "request_id")
        return {
            **{name: self.cleaned_data[name] for name in named},
            "cash": cash + (self.cleaned_data["other"] or NOTHING),
            "pieces": pieces,
            "left": self._left(),
        }

    def _left(self):
        causes = LossCause.objects.in_bulk(field_name="code")
        return [
            Left(
                row.lot,
                self.cleaned_data[f"left-{row.lot_id}"],
                causes.get(self.cleaned_data[f"gone-{row.lot_id}"]),
            )
            for row in self.out
        ]
