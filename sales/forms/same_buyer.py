"""Choosing a buyer, who may have been written down twice."""

from django import forms

from nursery.forms import RequestForm
from nursery.numbers import is_number
from sales.models import Buyer


class BuyerField(forms.ModelChoiceField):
    """A choice among buyers, each once; an address or an old page that names a double finds
    the one kept.
    """

    def __init__(self, **kwargs):
        super().__init__(Buyer.objects.kept(), **kwargs)

    def prepare_value(self, value):
        return super().prepare_value(_kept(value))

    def to_python(self, value):
        return super().to_python(_kept(value))


def _kept(value):
    if not is_number(value):
        return value
    found = Buyer.objects.filter(pk=value).values_list("same_as", flat=True).first()
    return found or value


class OtherBuyerForm(forms.Form):
    """Which other buyer is the same."""

    other = BuyerField(label="Which other one is the same?", empty_label="Choose a buyer")

    def __init__(self, *args, kept: Buyer, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["other"].queryset = Buyer.objects.kept().exclude(pk=kept.pk)


class SameBuyerForm(RequestForm):
    """That another is the same buyer, as the comparison showed it."""

    other = forms.ModelChoiceField(Buyer.objects.all(), widget=forms.HiddenInput)

    def refuse(self, error) -> None:
        """Show a LedgerError above the comparison."""
        self.add_error(None, str(error))
