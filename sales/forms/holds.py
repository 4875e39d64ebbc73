"""Forms to hold plants, to change a hold, and to hand over from it."""

from collections.abc import Mapping
from datetime import date, timedelta

from django import forms

from inventory.forms.fields import ContainerField, PlantsField
from inventory.models import Lot, Plant
from nursery.forms import DateInput, OperationForm, RequestForm
from sales.forms.amounts import AmountField
from sales.forms.basket import NUMBER
from sales.forms.payments import MONEY
from sales.models import Buyer
from sales.operations import Wanted
from sales.queries.holds import HoldStanding
from sales.queries.on_account import free_on_account
from sales.queries.paying import ON_ACCOUNT
from sales.queries.room import Room, rooms_for

TWO_WEEKS = timedelta(days=14)
LATER = "later"


class HoldForm(RequestForm):
    """For whom, which plants, until when.

    Each plant and container is a field `n-PLANT-CONTAINER`, as at the stand, and has
    `price-…` beside it. `plant` and `container` add one more.
    """

    buyer = forms.ModelChoiceField(Buyer.objects.all(), label="For whom?", empty_label="Choose")
    until = forms.DateField(
        label="Until when?",
        widget=DateInput,
        help_text="At the end of that day they are free again.",
    )
    ahead = forms.BooleanField(
        label="Order ahead what is not ready",
        required=False,
        help_text="Plants that still grow are promised as far as they are expected to live.",
    )
    note = forms.CharField(required=False, widget=forms.TextInput())
    plant = forms.ModelChoiceField(
        Plant.objects.filter(lots__balance__on_hand__gt=0).distinct(),
        required=False,
        label="Another plant",
        empty_label="Choose a plant",
    )
    container = ContainerField(required=False, label="In", empty_label="Choose a container")

    def __init__(self, data=None, *, state: Mapping, today: date, **kwargs):
        named = {
            name: state[name] for name in ("buyer", "until", "note", "ahead") if state.get(name)
        }
        super().__init__(data, initial={"until": today + TWO_WEEKS, **named}, **kwargs)
        self.fields["container"].queryset = self.fields["container"].queryset.filter(kind="sale")
        self.today = today
        source = state if data is None else data
        self.rooms: list[Room] = rooms_for(_asked(source), today)
        for room in self.rooms:
            self._add_row(room, source)

    def rows(self):
        """Yield (what is free of it, field of the number, field of the price) for the page."""
        for room in self.rooms:
            yield room, self[f"n-{room.key}"], self[f"price-{room.key}"]

    def clean(self):
        cleaned = super().clean()
        if not self.rooms:
            raise forms.ValidationError("Choose at least one plant to hold.")
        if not any(cleaned.get(f"n-{room.key}") for room in self.rooms) and not self.errors:
            raise forms.ValidationError("Say how many plants to hold.")
        return cleaned

    def refuse(self, error) -> None:
        """Show a refusal, keeping what was typed."""
        self.add_error(error.field if error.field in self.fields else None, str(error))

    def hold(self) -> dict:
        """Return what `hold` takes."""
        named = ("buyer", "until", "note", "request_id")
        return {
            **{name: self.cleaned_data[name] for name in named},
            "wanted": [self._wanted(room) for room in self.rooms if self._number(room)],
            "on": self.today,
        }

    def _number(self, room) -> int:
        return self.cleaned_data.get(f"n-{room.key}") or 0

    def _wanted(self, room):
        lot = self.data.get(f"lot-{room.key}", "")
        return Wanted(
            room.plant,
            room.container,
            self._number(room),
            lot=Lot.objects.filter(pk=lot).first() if lot.isdigit() else None,
            unit_price=self.cleaned_data.get(f"price-{room.key}"),
            ahead=self.cleaned_data["ahead"],
        )

    def _add_row(self, room, source):
        self.fields[f"n-{room.key}"] = PlantsField(
            label=f"Number of {room.plant} {room.container}",
            required=False,
            least=0,
            initial=source.get(f"n-{room.key}"),
        )
        self.fields[f"price-{room.key}"] = AmountField(
            label=f"Price agreed each, {room.plant} {room.container}",
            required=False,
            initial=source.get(f"price-{room.key}", ""),
        )
        self.fields[f"lot-{room.key}"] = forms.CharField(
            required=False, widget=forms.HiddenInput, initial=source.get(f"lot-{room.key}", "")
        )


def _asked(source) -> list[tuple[int, int]]:
    found = (NUMBER.fullmatch(name) for name in source)
    return [tuple(map(int, match.groups())) for match in found if match]


class _LinesForm(forms.Form):
    """A form with one number for each line of a hold."""

    standing: HoldStanding

    def _add_numbers(self, least, initial):
        for one in self.standing.lines:
            self.fields[f"line_{one.line.pk}"] = PlantsField(
                label=f"{one.line.plant} {one.line.container}",
                least=least(one),
                required=False,
                initial=initial(one),
            )

    def rows(self):
        """Yield (line as it stands, field) for the page."""
        for one in self.standing.lines:
            yield one, self[f"line_{one.line.pk}"]

    @property
    def numbers(self) -> dict:
        """Return {line: the number typed}."""
        typed = {
            one.line: self.cleaned_data.get(f"line_{one.line.pk}") for one in self.standing.lines
        }
        return {line: number for line, number in typed.items() if number is not None}


class ChangeHoldForm(_LinesForm, RequestForm):
    """Another day, other numbers."""

    until = forms.DateField(label="Keep them until", widget=DateInput)

    def __init__(self, *args, standing: HoldStanding, **kwargs):
        super().__init__(*args, **kwargs)
        self.standing = standing
        self.fields["until"].initial = standing.hold.until
        self._add_numbers(lambda one: 0, lambda one: one.line.quantity)

    def refuse(self, error) -> None:
        """Show a refusal, keeping what was typed."""
        self.add_error(error.field if error.field in self.fields else None, str(error))

    def change(self) -> dict:
        """Return what `change_hold` takes."""
        named = ("until", "request_id")
        return {name: self.cleaned_data[name] for name in named} | {"numbers": self.numbers}


class HandOverForm(_LinesForm, OperationForm):
    """How many of each are handed over now, and how they are paid."""

    paid_by = forms.ChoiceField(
        label="Paid by",
        choices=[
            (LATER, "later, by the invoice"),
            (ON_ACCOUNT, "what is on their account, the rest by the invoice"),
            *MONEY,
        ],
        widget=forms.RadioSelect,
        initial=LATER,
    )

    def __init__(self, *args, standing: HoldStanding, **kwargs):
        super().__init__(*args, **kwargs)
        self.standing = standing
        self.fields["note"].help_text = "Printed on the invoice."
        if free_on_account(standing.hold.buyer, standing.on):
            self.fields["paid_by"].initial = ON_ACCOUNT
        self._add_numbers(lambda one: 0, lambda one: min(one.line.open, one.ready or one.line.open))

    def clean(self):
        cleaned = super().clean()
        if not self.errors and not any(self.numbers.values()):
            raise forms.ValidationError("Say how many plants are handed over.")
        return cleaned

    def sale(self) -> dict:
        """Return what `sell_held` takes."""
        paid_by = self.cleaned_data["paid_by"]
        named = ("on", "note", "request_id")
        return {name: self.cleaned_data[name] for name in named} | {
            "numbers": self.numbers,
            "paid_by": "" if paid_by == LATER else paid_by,
        }
