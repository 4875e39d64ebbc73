"""The stand's form."""

from decimal import Decimal

from django import forms
from django.utils.functional import cached_property
from django.utils.http import urlencode

from nursery.forms import OperationForm
from nursery.numbers import is_number
from sales.forms.amounts import AmountField
from sales.forms.basket import BasketLine, key_of, read_basket
from sales.forms.payments import MONEY
from sales.forms.same_buyer import BuyerField
from sales.models import Buyer, StandDay
from sales.queries.deposits import free_beside_deposits
from sales.queries.paying import ON_ACCOUNT
from sales.queries.stand_day import attended_stands

LATER, NOWHERE = "later", "none"
CHANGED = (
    "Another price applies to this buyer or number than the page showed. It stands below now: "
    "look at the total, and press again."
)


class SaleForm(OperationForm):
    """Which plants, to whom, paid how. What is not said is a walk-in paying today."""

    buyer = BuyerField(required=False, empty_label="Walk-in, no name needed")
    given = AmountField(
        label="Cash given", required=False, help_text="Only to work out the change."
    )
    paid_by = forms.ChoiceField(choices=[*MONEY, (ON_ACCOUNT, "their account"), (LATER, "later")])
    find = forms.CharField(required=False)

    field_order = ["buyer", "on", "note", "given"]

    def __init__(self, data=None, *, state, today, **kwargs):
        super().__init__(data, initial=_initial(state, today), **kwargs)
        self.fields["note"].widget = forms.TextInput()
        self.fields["note"].help_text = "Printed on the document."
        self.state = source = state if data is None else data
        on = self.fields["on"].widget.value_from_datadict(source, None, "on")
        self.on = _day(on) or today
        self.at_stand = self._chosen_stand(source.get("stand"))
        self.lines: list[BasketLine] = read_basket(
            source, self.on, self.chosen_buyer, self.at_stand
        )

    def _chosen_stand(self, asked: str | None) -> StandDay | None:
        """Return the stand the sale is made at: the one chosen, else the one that is open."""
        stands = [day for day in attended_stands() if day.date <= self.on]
        if not stands:
            return None
        chosen = stands[0]
        if asked:
            chosen = next((day for day in stands if str(day.pk) == asked), None)
        self.fields["stand"] = forms.ChoiceField(
            choices=[*((day.pk, str(day.place)) for day in stands), (NOWHERE, "not at a stand")],
            label="Sold at",
            required=False,
            initial=chosen.pk if chosen else NOWHERE,
        )
        return chosen

    @property
    def shows_all(self) -> bool:
        return "all" in self.state

    @property
    def unknown_code(self) -> str:
        """A code that was typed or scanned and that no lot has."""
        return self.state.get("lot_code", "")

    @property
    def kept(self):
        """Yield what is known before the first plant is chosen, such as the buyer."""
        for name in ("buyer", "on", "note", "given", "stand"):
            if value := self.state.get(name):
                yield name, value

    @property
    def as_address(self) -> str:
        """The plants and the buyer as another page's address takes them.

        There plants of one kind are one line: those of several labels come from any lot.
        """
        chosen: dict[str, object] = {}
        for line in self.lines:
            key = key_of(line.plant.pk, line.container.pk)
            other = f"n-{key}" in chosen
            chosen[f"n-{key}"] = chosen.get(f"n-{key}", 0) + line.quantity
            if line.is_overruled:
                chosen[f"price-{key}"] = line.typed_price
            if line.lot and not other:
                chosen[f"lot-{key}"] = line.lot.pk
            elif other:
                chosen.pop(f"lot-{key}", None)
        buyer = self.chosen_buyer
        return urlencode(chosen | ({"buyer": buyer.pk} if buyer else {}))

    @property
    def plants(self) -> int:
        return sum(line.quantity for line in self.lines)

    @cached_property
    def chosen_buyer(self) -> Buyer | None:
        """The buyer chosen so far, before the sale is made."""
        value = self["buyer"].value()
        return Buyer.objects.filter(pk=value).first() if is_number(value) else None

    @property
    def on_account(self) -> Decimal:
        """What the chosen buyer has on account for this sale."""
        buyer = self.chosen_buyer
        return free_beside_deposits(buyer, self.on) if buyer else Decimal(0)

    @property
    def cash_given(self) -> Decimal | None:
        try:
            return self.fields["given"].to_python(self["given"].value() or "")
        except forms.ValidationError:
            return None

    def clean(self):
        cleaned = super().clean()
        for line in self.lines:
            if line.error:
                self.add_error(None, f"{line.plant} {line.container}: {line.error}")
        if any(line.has_changed for line in self.lines if not line.error):
            self.add_error(None, CHANGED)
        if cleaned.get("paid_by") in (LATER, ON_ACCOUNT) and not cleaned.get("buyer"):
            self.add_error("buyer", "Choose who pays later: an open invoice needs a name.")
        return cleaned

    def sale(self) -> dict:
        """Return what `sell` takes."""
        paid_by = self.cleaned_data["paid_by"]
        return {
            # Labels first: the others then leave these lots their plants.
            "items": [line.item() for line in sorted(self.lines, key=lambda one: not one.of_lot)],
            "on": self.cleaned_data["on"],
            "buyer": self.cleaned_data["buyer"],
            "paid_by": "" if paid_by == LATER else paid_by,
            "note": self.cleaned_data["note"],
            "request_id": self.cleaned_data["request_id"],
            "stand": self.at_stand,
        }


def _initial(state, today):
    named = {name: state[name] for name in ("buyer", "given", "note", "find") if name in state}
    return {**named, "on": _day(state.get("on")) or today}


def _day(text):
    try:
        return forms.DateField().to_python(text)
    except forms.ValidationError:
        return None
