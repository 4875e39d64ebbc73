"""Narrow the list of buyers."""

import django_filters as filters
from django.db.models import Q

from sales.models import Buyer, Contact
from sales.models.buyers import who_counts


class BuyerFilter(filters.FilterSet):
    """By name or whom and where to ask, by kind, or only those who owe."""

    name = filters.CharFilter(label="Name, person, town, phone", method="who_matches")
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

    def who_matches(self, buyers, name, value):
        # Any entry of a buyer may be what is remembered.
        ways = ("name", "city", "address", "phone", "email")
        people = Contact.objects.filter(is_former=False).filter(
            Q(name__icontains=value) | Q(phone__icontains=value) | Q(email__icontains=value)
        )
        found = Q(pk__in=people.values("buyer"))
        for way in ways:
            found |= Q(**{f"{way}__icontains": value})
        return buyers.filter(pk__in=Buyer.objects.filter(found).values_list(who_counts()))

    def who_owes(self, buyers, name, value):
        return buyers.filter(owed__gt=0)
