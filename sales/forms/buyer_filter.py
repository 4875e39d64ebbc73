"""Narrow the list of buyers."""

import django_filters as filters

from sales.models import Buyer


class BuyerFilter(filters.FilterSet):
    """By name, by kind, or only those who owe."""

    name = filters.CharFilter("name", "icontains", label="Name")
    kind = filters.ChoiceFilter(choices=Buyer.Kind, empty_label="all kinds")
    owing = filters.ChoiceFilter(
        label="Owes",
        choices=[("yes", "something")],
        empty_label="anyone",
        method="who_owes",
    )

    class Meta:
        model = Buyer
        fields = ["name", "kind", "owing"]

    def who_owes(self, buyers, name, value):
        return buyers.filter(owed__gt=0)
