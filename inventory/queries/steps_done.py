"""What was done of the steps of batches: the last row of each chain, where it holds."""

from collections.abc import Collection

from django.db.models import QuerySet

from inventory.models import Batch, MethodStep, StepDone


def last_of(batch: Batch, step: MethodStep) -> StepDone | None:
    """Return the last that was noted of a step for a batch, whether it holds or not."""
    rows = StepDone.objects.filter(batch=batch, step=step, followed_by=None)
    return rows.select_related("operation__reversed_by").first()


def done_of(batches: Collection[int]) -> QuerySet:
    """Return what holds: the steps done or left out for some batches."""
    rows = StepDone.objects.filter(batch__in=batches, followed_by=None)
    rows = rows.exclude(kind=StepDone.Kind.UNDONE)
    return rows.filter(operation__reversed_by=None)
