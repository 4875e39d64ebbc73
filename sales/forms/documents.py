"""Narrow the list of documents."""

import django_filters as filters
from django import forms

from nursery.forms import DateInput
from sales.models import Buyer, Document


class DocumentFilter(filters.FilterSet):
    """Open or paid, whose, and when."""

    STATES = [
        ("open", "open"),
        ("paid", "paid"),
        ("credit", "credit notes"),
        ("cancelled", "cancelled"),
    ]

    state = filters.ChoiceFilter(label="Show", choices=STATES, empty_label="all", method="in_state")
    buyer = filters.ModelChoiceFilter(queryset=Buyer.objects.all(), empty_label="everyone")
    since = filters.DateFilter("date", "gte", label="From", widget=DateInput())
    until = filters.DateFilter("date", "lte", label="Until", widget=DateInput())
    number = filters.CharFilter(
        "number", "icontains", label="Number", widget=forms.TextInput(attrs={"size": 10})
    )

    class Meta:
        model = Document
        fields = ["state", "buyer", "since", "until", "number"]

    def in_state(self, documents, name, value):
        sales = documents.filter(kind=Document.Kind.SALE)
        if value == "open":
            return sales.exclude(open=0)
        if value == "paid":
            return sales.filter(open=0, cancelled=False)
        if value == "cancelled":
            return documents.filter(cancelled=True)
        return documents.filter(kind=Document.Kind.CREDIT)
