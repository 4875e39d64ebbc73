"""Forms to promise plants: in a new hold, or more of them in one that is made."""

from collections.abc import Mapping
from datetime import date, timedelta

from django import forms

from inventory.forms.fields import ContainerField, PlantsField
from inventory.models import Lot, Plant
from nursery.forms import DateInput, RequestForm
from nursery.numbers import is_number
from nursery.templatetags.nursery_tags import plain
from sales.forms.amounts import AmountField
from sales.forms.basket import NUMBER
from sales.forms.payments import MONEY
from sales.forms.same_buyer import BuyerField
from sales.models import PlantRequest
from sales.operations import DepositPaid, Wanted
from sales.queries.room import Room, rooms_for

TWO_WEEKS = timedelta(days=14)
# What stands beside the number of a plant, as `price-PLANT-CONTAINER`.
BESIDE = ("price", "grade", "lot")


class PlantsToHoldForm(RequestForm):
    """Which plants, and how many.

    Each plant and container is a field `n-PLANT-CONTAINER`, as at the stand, and has
    `price-…` beside it, and `grade-…` where its lots have grades. `plant` and `container`
    add one more.
    """

    ahead = forms.BooleanField(
        label="Order ahead what is not ready",
        required=False,
        help_text="Plants that still grow are promised as far as they are expected to live.",
    )
    plant = forms.ModelChoiceField(
        Plant.objects.filter(lots__balance__on_hand__gt=0).distinct(),
        required=False,
        label="Another plant",
        empty_label="Choose a plant",
    )
    container = ContainerField(required=False, label="In", empty_label="Choose a container")

    # The fields that the page's address may fill in.
    named: tuple[str, ...] = ("ahead",)

    def __init__(self, data=None, *, state: Mapping, today: date, initial=None, **kwargs):
        named = {name: state[name] for name in self.named if state.get(name)}
        super().__init__(data, initial={**(initial or {}), **named}, **kwargs)
        self.fields["container"].queryset = self.fields["container"].queryset.filter(kind="sale")
        self.today = today
        source = state if data is None else data
        self.rooms: list[Room] = rooms_for(_asked(source), today)
        for room in self.rooms:
            self._add_row(room, source)

    def rows(self):
        """Yield (what is free of it, fields of number, price and grade, if any) for the page."""
        for room in self.rooms:
            names = (f"{name}-{room.key}" for name in ("n", "price", "grade"))
            yield room, *(self[name] if name in self.fields else None for name in names)

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

    @property
    def wanted(self) -> list[Wanted]:
        """Return the plants that a valid form asks for."""
        return [self._wanted(room) for room in self.rooms if self._number(room)]

    def more(self) -> dict:
        """Return what `add_to_hold` takes."""
        request_id = self.cleaned_data["request_id"]
        return {"wanted": self.wanted, "on": self.today, "request_id": request_id}

    def _number(self, room) -> int:
        return self.cleaned_data.get(f"n-{room.key}") or 0

    def _wanted(self, room):
        lot = self.data.get(f"lot-{room.key}", "")
        return Wanted(
            room.plant,
            room.container,
            self._number(room),
            grade=self.cleaned_data.get(f"grade-{room.key}", ""),
            lot=Lot.objects.filter(pk=lot).first() if is_number(lot) else None,
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
        if room.grades:
            self.fields[f"grade-{room.key}"] = forms.ChoiceField(
                label=f"Grade of {room.plant} {room.container}",
                required=False,
                choices=[("", "any grade"), *((one, _graded(one, n)) for one, n in room.grades)],
                initial=source.get(f"grade-{room.key}", ""),
            )


class HoldForm(PlantsToHoldForm):
    """For whom, which plants, until when, and what they pay ahead."""

    buyer = BuyerField(label="For whom?", empty_label="Choose")
    until = forms.DateField(
        label="Until when?",
        widget=DateInput,
        help_text="At the end of that day they are free again.",
    )
    note = forms.CharField(required=False, widget=forms.TextInput())
    asked = forms.ModelChoiceField(
        PlantRequest.objects.all(), required=False, widget=forms.HiddenInput
    )
    deposit = AmountField(
        label="Deposit paid now",
        required=False,
        help_text="It lies on their account, theirs until an invoice of this hold uses it.",
    )
    deposit_by = forms.ChoiceField(
        label="Paid by", choices=MONEY, required=False, widget=forms.RadioSelect, initial="transfer"
    )

    named = ("buyer", "until", "note", "asked", "ahead", "deposit", "deposit_by")

    def __init__(self, data=None, *, today: date, **kwargs):
        super().__init__(data, today=today, initial={"until": today + TWO_WEEKS}, **kwargs)

    @property
    def asks_of_deposit(self) -> bool:
        """Say whether a deposit was typed, or is wrong."""
        return bool(self["deposit"].value() or self["deposit"].errors)

    def refuse(self, error) -> None:
        """Show a refusal; of the amounts here, only the deposit is one of money."""
        if error.field == "amount":
            self.add_error("deposit", str(error))
        else:
            super().refuse(error)

    def hold(self) -> dict:
        """Return what `hold` takes."""
        told = self.cleaned_data
        deposit = told["deposit"] and DepositPaid(told["deposit"], told["deposit_by"] or "transfer")
        return {
            **self.more(),
            **{name: told[name] for name in ("buyer", "until", "note", "asked")},
            "deposit": deposit or None,
        }


def _asked(source) -> list[tuple[int, int]]:
    found = (NUMBER.fullmatch(name) for name in source)
    return [tuple(map(int, match.group(1, 2))) for match in found if match and not match[3]]


def _graded(grade, free):
    return f"grade {grade}, {plain(free)} free now"
