"""Choose what stands on a list for buyers."""

from django import forms
from django.http import QueryDict

from inventory.models import Container
from sales.models import Buyer, Numbers, PriceList
from sales.offering import CHOSEN, COLUMNS, Choice, First

THEIRS, NONE = "", "none"
HEADINGS = {"price": "Price", "available": "Number"}


def prices_to_choose() -> list[tuple[str, str]]:
    """Return the price lists a list for buyers can show, and none."""
    return [*((key, f"{label} list") for key, label in PriceList.choices), (NONE, "no prices")]


def columns_to_choose() -> list[tuple[str, str]]:
    """Return the columns a person may leave out; the plant and its container always stand."""
    return [(key, HEADINGS.get(key, COLUMNS[key].heading)) for key in CHOSEN]


class OfferForm(forms.Form):
    """Who the list is for, what it goes by, and what it tells."""

    buyer = forms.ModelChoiceField(
        Buyer.objects.kept(), required=False, label="For whom?", empty_label="anyone"
    )
    prices = forms.ChoiceField(required=False)
    container = forms.ChoiceField(required=False)
    first = forms.ChoiceField(required=False, label="By", choices=First)
    numbers = forms.ChoiceField(required=False, label="How many", choices=Numbers)
    columns = forms.MultipleChoiceField(
        required=False,
        label="What it tells besides plant and container",
        widget=forms.CheckboxSelectMultiple,
        help_text="Without “Ready from” only plants that are ready stand on it.",
    )

    def __init__(self, query: QueryDict):
        data = query.copy()
        data.setdefault("numbers", Numbers.EXACT)
        if "first" not in data:
            data["first"] = First.CONTAINER
            data.setlist("columns", query.getlist("columns") or list(CHOSEN))
        super().__init__(data)
        usual = "the buyer's list, else the stand list"
        self.fields["prices"].choices = [(THEIRS, usual), *prices_to_choose()]
        sizes = Container.objects.filter(kind="sale", in_use=True).values_list("code", flat=True)
        self.fields["container"].choices = [("", "all"), *((code, code) for code in sizes)]
        self.fields["columns"].choices = columns_to_choose()

    @property
    def whom(self) -> Buyer | None:
        """The buyer the list is for."""
        return self._said("buyer")

    @property
    def choice(self) -> Choice:
        """The choice made; what makes no sense counts as not chosen."""
        usual = self.whom.list_in_use if self.whom else PriceList.STAND
        prices = self._said("prices") or usual
        return Choice(
            columns=tuple(self._said("columns") or ()),
            on_list="" if prices == NONE else prices,
            container=self._said("container") or "",
            first=self._said("first") or First.CONTAINER,
            numbers=self._said("numbers") or Numbers.EXACT,
        )

    def _said(self, name):
        self.is_valid()
        return self.cleaned_data.get(name)
