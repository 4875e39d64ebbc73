"""What the nursery's space was used for, and what it cost."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from inventory.models import Nursery
from inventory.queries.space import space_used
from nursery.context import current_nursery
from nursery.listing import list_page
from sales.forms.space import SpaceForm
from sales.tables.space import SpaceTable, measured


@require_safe
def space(request: HttpRequest) -> HttpResponse:
    """Show what each place was used for in some days: used, unused, and its cost."""
    form = SpaceForm(request.GET)
    first, last = form.span
    used = space_used(first, last)
    in_feet = current_nursery().units == Nursery.Units.US
    rows = [measured(row, in_feet=in_feet) for row in [*used.rows, used.whole]]
    return list_page(
        request,
        lambda found: SpaceTable(found, in_feet=in_feet),
        rows,
        template="sales/space.html",
        context={
            "place": "books",
            "form": form,
            "first": first,
            "last": last,
            "whole": rows[-1],
            "used": round(rows[-1].used),
            "unit": "square foot" if in_feet else "square metre",
            "weeks": "square-foot-weeks" if in_feet else "square-metre-weeks",
            "roomless": used.roomless,
        },
        export_name="space",
    )
