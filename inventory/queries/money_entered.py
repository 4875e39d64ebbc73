"""Whether any amount of money, or of own time, stands in the database yet."""

from django.apps import apps
from django.db.models import Q

from inventory.costing.categories import OWN_TIME
from inventory.models import CostEntry
from nursery.fields import MoneyField


def is_money_entered() -> bool:
    """Say whether any row of any app holds an amount other than nothing.

    It goes by the kind of field, so that an app this one does not know is asked too.
    """
    return any(_holds_money(model) for model in apps.get_models())


def is_own_time_entered() -> bool:
    """Say whether any hour of the grower's own was entered as a cost."""
    return CostEntry.objects.filter(category=OWN_TIME).exists()


def _holds_money(model):
    amounts = [field.name for field in model._meta.fields if isinstance(field, MoneyField)]
    if not amounts:
        return False
    something = Q()
    for name in amounts:
        something |= Q(**{f"{name}__gt": 0}) | Q(**{f"{name}__lt": 0})
    return model.objects.filter(something).exists()
