"""The losses: what died, when, why, and what became of its cost."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.models import LossCause
from inventory.own_time import counted_in
from inventory.queries.loss_sums import all_together, by_cause, by_month
from inventory.queries.losses import losses as all_losses
from nursery import charts
from nursery.listing import list_page
from nursery.templatetags.nursery_tags import money, plain
from sales.forms.period import LossForm
from sales.tables.losses import LossTable

MOST_MONTHS, FEW_MONTHS = 12, 8
HEADS = ("Lost", "Expected", "Beyond expected", "Expensed")


@require_safe
def losses(request: HttpRequest) -> HttpResponse:
    """Show the losses of a period, of one cause or of all."""
    form, rows = _asked(request)
    causes, months = by_cause(rows), by_month(rows)[-MOST_MONTHS:]
    return list_page(
        request,
        LossTable,
        rows,
        template="sales/losses.html",
        context={
            "place": "books",
            "form": form,
            "lost": all_together(rows),
            "charts": [
                _chart(request, "cause", causes),
                _chart(request, "month", months),
            ],
            "months": len(months),
        },
        export_name="losses",
    )


@require_safe
def losses_chart(request: HttpRequest) -> HttpResponse:
    """Draw the losses by cause as lying bars, or by month as standing ones."""
    _, rows = _asked(request)
    is_by_month = request.GET.get("by") == "month"
    months = FEW_MONTHS if "narrow" in request.GET else MOST_MONTHS
    sums = by_month(rows)[-months:] if is_by_month else by_cause(rows)
    series = [
        charts.Series("expected", [row.normal for row in sums], charts.TONES[1]),
        charts.Series("beyond expected", [row.abnormal for row in sums], charts.CLAY, "///"),
    ]

    def draw(axes):
        shape = charts.columns if is_by_month else charts.bars
        shape(axes, _names(sums), series, plain)

    width, height = charts.size_asked(request, _height(sums, is_by_month))
    return charts.svg_response(charts.svg(draw, width, height))


def _asked(request):
    causes = LossCause.objects.values_list("code", "name")
    form = LossForm(request.GET, causes=causes)
    since, until = form.days
    rows = all_losses(since=since, on=until, counted=counted_in(request))
    cause = form.cleaned_data.get("cause")
    return form, [row for row in rows if not cause or row.cause == cause]


def _chart(request, by, sums):
    query = request.GET.copy()
    query["by"] = by
    return {
        "by": by,
        "source": f"{reverse('sales:losses-chart')}?{query.urlencode()}",
        "height": _height(sums, by == "month"),
        "heads": (by.capitalize(), *HEADS),
        "rows": [
            (
                _written(row.name),
                plain(row.quantity),
                plain(row.normal),
                plain(row.abnormal),
                money(row.expensed),
            )
            for row in sums
        ],
    }


def _names(sums):
    """Word the causes, or the months with the year only where it begins."""
    years: set = set()
    return [row.name if isinstance(row.name, str) else _month(row.name, years) for row in sums]


def _month(first, years):
    is_new = first.year not in years
    years.add(first.year)
    return f"{first:%b}\n{first:%Y}" if is_new else f"{first:%b}"


def _written(name):
    return name if isinstance(name, str) else f"{name:%b %Y}"


def _height(sums, is_by_month):
    return 300 if is_by_month else 80 + 34 * max(len(sums), 1)
