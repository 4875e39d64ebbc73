"""Narrow the list of documents."""

import django_filters as filters
from django import forms

from inventory.models.letterhead import LANGUAGES, Paper
from nursery.forms import DateInput
from sales.documents.papers import language_of
from sales.models import Buyer, Document, OpenSale


class PaperForm(forms.Form):
    """In which language and on which paper a document is set."""

    language = forms.ChoiceField(choices=LANGUAGES)
    paper = forms.ChoiceField(choices=Paper)

    @classmethod
    def issued(cls, document: Document) -> dict:
        """Return the language and paper that a document was issued in."""
        return {"language": language_of(document), "paper": document.issued_by.get("paper")}

    @classmethod
    def chosen(cls, query) -> dict:
        """Return what is asked for; empty is as it was issued, and so is what is not known."""
        form = cls(query)
        form.is_valid()
        return {name: form.cleaned_data.get(name, "") for name in form.fields}


class DocumentFilter(filters.FilterSet):
    """Open or paid, whose, and when."""

    STATES = [
        ("open", "open"),
        ("paid", "paid"),
        ("credit", "credit notes"),
        ("cancelled", "cancelled"),
    ]

    state = filters.ChoiceFilter(label="Show", choices=STATES, empty_label="all", method="in_state")
    buyer = filters.ModelChoiceFilter(
        queryset=Buyer.objects.kept(), empty_label="everyone", method="of_buyer"
    )
    since = filters.DateFilter("date", "gte", label="From", widget=DateInput())
    until = filters.DateFilter("date", "lte", label="Until", widget=DateInput())
    number = filters.CharFilter(
        "number", "icontains", label="Number", widget=forms.TextInput(attrs={"size": 10})
    )

    class Meta:
        model = Document
        fields = ["state", "buyer", "since", "until", "number"]

    def of_buyer(self, documents, name, value):
        return documents.filter(buyer__in=value.entries)

    def in_state(self, documents, name, value):
        sales = documents.filter(kind=Document.Kind.SALE)
        open_ones = OpenSale.objects.values("pk")
        if value == "open":
            return sales.filter(pk__in=open_ones)
        if value == "paid":
            return sales.filter(cancelled=False).exclude(pk__in=open_ones)
        if value == "cancelled":
            return documents.filter(cancelled=True)
        return documents.filter(kind=Document.Kind.CREDIT)
