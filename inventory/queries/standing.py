"""How many plants stand where."""

from django.db.models import Count, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from inventory.models import Place


def places_with_plants() -> QuerySet[Place]:
    """Return the places, each with the lots and plants that stand there now."""
    here = Q(balances__on_hand__gt=0)
    return Place.objects.select_related("parent").annotate(
        lots=Count("balances", filter=here), plants=Coalesce(Sum("balances__on_hand"), 0)
    )
