"""Name the documents of sales and returns for the pages of the growing side."""

from django.urls import reverse

from inventory.papers import Paper
from sales.models import Take

WALK_IN = "a walk-in"


def papers_of_operations(operations: list[int]) -> dict[int, Paper]:
    """Return {operation: its document} for those that are sales or returns."""
    rows = Take.objects.filter(movement__operation__in=operations).values_list(
        "movement__operation",
        "line__document",
        "line__document__number",
        "line__document__buyer__name",
    )
    return {
        operation: Paper(
            number=number,
            party=buyer or WALK_IN,
            url=reverse("sales:document", args=[document]),
            undo_url=reverse("sales:undo-sale", args=[document]),
        )
        for operation, document, number, buyer in rows
    }
