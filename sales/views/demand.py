"""What sold when, and what may sell next."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from nursery import charts
from nursery.listing import list_page
from nursery.templatetags.nursery_tags import plain
from sales.forms.demand import DemandForm
from sales.queries.demand import demand
from sales.tables.demand import DemandTable


@require_safe
def demand_page(request: HttpRequest) -> HttpResponse:
    """Show what sold of each plant in the years gone by, and how many to have for the next."""
    form = DemandForm(request.GET)
    found = demand(timezone.localdate(), **form.asked())
    season = found.season
    return list_page(
        request,
        lambda rows: DemandTable(rows, years=found.months.years),
        found.rows,
        template="sales/demand.html",
        context={
            "place": "books",
            "form": form,
            "demand": found,
            "to_begin": sum(row.to_begin or 0 for row in found.rows),
            "unknown": sum(row.expected is None for row in found.rows),
            "chart": f"{reverse('sales:demand-chart')}?{request.GET.urlencode()}",
            "chart_rows": [(f"{name:%b %Y}", plain(old), plain(new)) for name, old, new in season],
            "chart_heads": ("Month", "Sold a year before", "May sell"),
        },
        export_name="demand",
    )


@require_safe
def demand_chart(request: HttpRequest) -> HttpResponse:
    """Draw what may sell in each of the twelve months to come."""
    season = demand(timezone.localdate(), **DemandForm(request.GET).asked()).season
    width, height = charts.size_asked(request)
    names = [f"{name:%b}" if width > charts.NARROW[0] else f"{name:%b}"[0] for name, *_ in season]
    series = [charts.Series("may sell", [expected for *_, expected in season])]

    def draw(axes):
        charts.columns(axes, names, series, lambda value: plain(round(value)))

    return charts.svg_response(charts.svg(draw, width, height))
