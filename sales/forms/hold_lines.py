"""Forms about the lines that a hold has: change them, or hand over from them."""

from decimal import Decimal

from django import forms

from inventory.forms.fields import PlantsField
from nursery.forms import DateInput, OperationForm, RequestForm
from nursery.templatetags.nursery_tags import money
from sales.forms.payments import MONEY
from sales.queries.deposits import free_beside_deposits
from sales.queries.holds import HoldStanding
from sales.queries.paying import ON_ACCOUNT

LATER = "later"


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

    use_deposit = forms.BooleanField(required=False, initial=True)
    paid_by = forms.ChoiceField(
        label="Paid by", choices=[], widget=forms.RadioSelect, initial=LATER
    )

    def __init__(self, *args, standing: HoldStanding, **kwargs):
        super().__init__(*args, **kwargs)
        self.standing = standing
        self.fields["note"].help_text = "Printed on the invoice."
        self._ask_of_deposit(standing.deposit.left)
        beside = free_beside_deposits(standing.hold.buyer, standing.on)
        self.fields["paid_by"].choices = list(_ways(beside, standing.deposit.left))
        if beside:
            self.fields["paid_by"].initial = ON_ACCOUNT
        self._add_numbers(_least, _proposed)

    def _ask_of_deposit(self, left):
        if not left:
            del self.fields["use_deposit"]
            return
        self.fields["use_deposit"].label = f"Use their deposit, {money(left)}, for this invoice"
        self.fields[
            "use_deposit"
        ].help_text = "What this invoice does not need stays for the next part."

    def clean(self):
        cleaned = super().clean()
        if not self.errors and not any(self.numbers.values()):
            raise forms.ValidationError("Say how many plants are handed over.")
        return cleaned

    @property
    def foreseen(self) -> dict:
        """Return {line: number} as typed so far, or as proposed where nothing was sent."""
        if self.is_bound:
            return self.numbers if self.is_valid() else {}
        return {one.line: _proposed(one) for one in self.standing.lines}

    @property
    def deposit(self) -> Decimal:
        """What of the deposit may pay this invoice."""
        wanted = "use_deposit" in self.fields and (
            self.cleaned_data.get("use_deposit") if self.is_bound else True
        )
        return self.standing.deposit.left if wanted else Decimal(0)

    def sale(self) -> dict:
        """Return what `sell_held` takes."""
        paid_by = self.cleaned_data["paid_by"]
        named = ("on", "note", "request_id")
        return {name: self.cleaned_data[name] for name in named} | {
            "numbers": self.numbers,
            "paid_by": "" if paid_by == LATER else paid_by,
            "use_deposit": self.cleaned_data.get("use_deposit", False),
        }


def _least(one):
    return 0


def _proposed(one):
    """Propose what is ready of a line; all of it where nothing is, for the grower to judge."""
    return min(one.line.open, one.ready or one.line.open)


def _ways(beside, deposit):
    yield LATER, "later, by the invoice"
    if beside:
        what = f"what else is on their account, {money(beside)}" if deposit else "their account"
        yield ON_ACCOUNT, f"{what}, the rest by the invoice"
    yield from MONEY
