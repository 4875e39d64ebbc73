"""Money received for a document."""

from django import forms

from nursery.forms import OperationForm
from sales.forms.amounts import AmountField
from sales.models import Payment

MONEY = [(way.value, way.label) for way in Payment.MONEY]


class PaymentForm(OperationForm):
    """How much, how, and when; the open amount today unless said otherwise."""

    amount = AmountField(label="Amount")
    method = forms.ChoiceField(
        label="Paid by", choices=MONEY, widget=forms.RadioSelect, initial="transfer"
    )
    note = None

    field_order = ["amount", "method", "on"]
