"""Money received for documents, or on a buyer's account, and money given back."""

from decimal import Decimal

from django import forms

from nursery.forms import OperationForm
from sales.forms.amounts import AmountField
from sales.models import Payment
from sales.queries.paying import AS_CHANGE, ON_ACCOUNT, Way

MONEY = [(way.value, way.label) for way in Payment.MONEY]


class PaymentForm(OperationForm):
    """How much, how, and when; the open amount today unless said otherwise."""

    amount = AmountField(label="Amount")
    method = forms.ChoiceField(
        label="Paid by", choices=MONEY, widget=forms.RadioSelect, initial="transfer"
    )
    discount = forms.BooleanField(required=False, label="They keep the discount for paying early")
    rest = forms.ChoiceField(
        required=False,
        label="Is it more than is owed?",
        widget=forms.RadioSelect,
        choices=[
            (ON_ACCOUNT, "The rest stays on their account"),
            (AS_CHANGE, "The rest is given back now"),
        ],
    )
    let_go = forms.CharField(
        required=False,
        max_length=120,
        label="Is it less, and you let the rest go? Say why",
        help_text="Left empty, the rest stays owed. Whether tax on it falls away too is for your "
        "tax authority to say.",
    )
    note = None

    def __init__(self, *args, has_account: bool, may_discount: bool, **kwargs):
        super().__init__(*args, **kwargs)
        if not may_discount:
            del self.fields["discount"]
        if not has_account:
            self.fields["rest"].choices = self.fields["rest"].choices[1:]

    @property
    def main_fields(self):
        """Yield what every payment asks."""
        names = ("amount", "method", "discount", "on")
        return [self[name] for name in names if name in self.fields]

    @property
    def other_fields(self):
        """Yield what only more or less than is owed asks."""
        return [self["rest"], self["let_go"]]

    @property
    def asks_more(self) -> bool:
        """Say whether there is more or less than is owed to speak of."""
        return any(self[name].value() or self[name].errors for name in ("rest", "let_go")) or (
            "more" in str(self["amount"].errors)
        )

    def way(self) -> Way:
        """Return how it is paid, from a valid form."""
        told = self.cleaned_data
        return Way(
            told["method"],
            told["on"],
            told["rest"],
            told["let_go"].strip(),
            told.get("discount", False),
        )

    def payment(self) -> dict:
        """Return what `pay` and `pay_several` take."""
        return {
            "amount": self.cleaned_data["amount"] or Decimal(0),
            "request_id": self.cleaned_data["request_id"],
            **vars(self.way()),
        }


class AccountForm(OperationForm):
    """Money that goes onto a buyer's account, or off it again."""

    amount = AmountField(label="Amount")
    method = forms.ChoiceField(
        label="Paid by", choices=MONEY, widget=forms.RadioSelect, initial="transfer"
    )
    note = forms.CharField(
        required=False, max_length=120, label="What for", help_text="It stands on the statement."
    )

    field_order = ["amount", "method", "note", "on"]

    def __init__(self, *args, asks: tuple[str, ...], **kwargs):
        super().__init__(*args, **kwargs)
        for name in {"method", "note"} - set(asks):
            del self.fields[name]
        if asks == ("note",):
            self.fields["note"].label, self.fields["note"].required = "Why", True
