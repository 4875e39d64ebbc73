"""The year sheet: opening, in, out, closing, on the screen, on paper and as a file."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.costing.categories import OWN_TIME
from inventory.models import Nursery
from inventory.own_time import counted_in, word_for
from inventory.queries.closed import closed_to
from inventory.queries.loss_sums import all_together, by_cause, by_month
from inventory.queries.losses import losses
from inventory.queries.money_entered import is_own_time_entered
from nursery import charts
from nursery.listing import in_pages, list_page
from nursery.templatetags.nursery_tags import money, plain
from sales.documents.pdf import PdfNotPossible, pdf_of
from sales.forms.year import SpanForm
from sales.queries.margin import margin_by
from sales.queries.year import costs_by_month, in_all, year_rows
from sales.tables.year import COSTS, PLANTS, YearTable

LARGEST, OTHERS = 3, "all others"


@require_safe
def year(request: HttpRequest) -> HttpResponse:
    """Show a year of plants and cost, adding up, with its pictures."""
    form = SpanForm(request.GET)
    since, until = form.span
    counted = counted_in(request)
    rows = year_rows(since, until, counted)
    total = in_all(rows)
    closed = closed_to()
    days = f"since={since.isoformat()}&until={until.isoformat()}&own_time={word_for(counted)}"
    is_page = "_export" not in request.GET
    costs = YearTable(rows, exclude=PLANTS, prefix="cost-")
    costs.export_formats, costs.caption = (), "Cost by plant and container"
    in_pages(request, costs)
    return list_page(
        request,
        lambda found: YearTable(found, exclude=COSTS if is_page else ()),
        [row for row in rows if row.plant] if is_page else rows,
        template="sales/year.html",
        context={
            "place": "books",
            "form": form,
            "since": since,
            "until": until,
            "days": days,
            "total": total,
            "is_right": not total.plants_difference and not total.cost_difference,
            "is_closed": bool(closed and until <= closed),
            "costs": costs,
            "pictures": _pictures(since, until, days, counted) if is_page else (),
        },
        export_name=f"year-{since.isoformat()}-to-{until.isoformat()}",
    )


@require_safe
def year_pdf(request: HttpRequest) -> HttpResponse:
    """Answer with the year sheet as a PDF, or say what this machine lacks for it."""
    since, until = SpanForm(request.GET).span
    counted = counted_in(request)
    rows = year_rows(since, until, counted)
    closed = closed_to()
    context = {
        "nursery": Nursery.current(),
        "wide": True,
        "since": since,
        "until": until,
        "rows": rows,
        "total": in_all(rows),
        "is_closed": bool(closed and until <= closed),
        "is_own_time_out": OWN_TIME not in counted and is_own_time_entered(),
    }
    try:
        pdf = pdf_of("documents/year.html", context, language="en")
    except PdfNotPossible as error:
        told = {"place": "books", "error": error}
        return render(request, "sales/year_no_pdf.html", told, status=503)
    response = HttpResponse(pdf, content_type="application/pdf")
    name = f"year-{since.isoformat()}-to-{until.isoformat()}.pdf"
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response


@require_safe
def year_chart(request: HttpRequest) -> HttpResponse:
    """Draw what was put into plants, month by month, by category."""
    since, until = SpanForm(request.GET).span
    months = costs_by_month(since, until, counted_in(request))
    series = [
        charts.Series(_worded(name), [float(month[name]) for month in shown], tone, hatch)
        for (name, shown), tone, hatch in zip(
            _series(months), charts.TONES, charts.HATCHES, strict=False
        )
    ]

    def draw(axes):
        charts.bars(axes, [f"{day:%b %Y}" for day in months], series, lambda n: plain(round(n)))

    width, height = charts.size_asked(request, _height(months))
    return charts.svg_response(charts.svg(draw, width, height))


def _series(months):
    """Return the largest categories, and the rest as one, each with its months."""
    names = _largest(months)
    grouped = [_grouped(month, names) for month in months.values()]
    return [(name, grouped) for name in (*names, OTHERS) if any(month[name] for month in grouped)]


def _worded(name):
    return name.replace("_", " ")


def _largest(months):
    sums = {
        name: sum(month[name] for month in months.values())
        for name in next(iter(months.values()), {})
    }
    return sorted((name for name in sums if sums[name]), key=lambda name: -sums[name])[:LARGEST]


def _grouped(month, names):
    shown = {name: month[name] for name in names}
    return shown | {OTHERS: sum(month.values()) - sum(shown.values())}


def _height(months):
    return 80 + 34 * max(len(months), 1)


def _pictures(since, until, days, counted):
    months = costs_by_month(since, until, counted)
    return [
        picture
        for picture in (
            _cost_picture(months, days),
            *_loss_pictures(since, until, days, counted),
            *(_margin_picture(by, since, until, days, counted) for by in ("plant", "container")),
        )
        if picture["rows"]
    ]


def _cost_picture(months, days):
    series = _series(months)
    return {
        "source": f"{reverse('sales:year-chart')}?{days}",
        "sentence": "What was put into plants each month, by what it was for.",
        "height": _height(months),
        "heads": ("Month", *(_worded(name) for name, _ in series)),
        "rows": [
            (f"{day:%b %Y}", *(money(grouped[number][name]) for name, grouped in series))
            for number, day in enumerate(months)
        ],
    }


def _loss_pictures(since, until, days, counted):
    found = losses(since=since, on=until, counted=counted)
    sums = all_together(found)
    for by, rows in (("cause", by_cause(found)), ("month", by_month(found)[-12:])):
        yield {
            "source": f"{reverse('sales:losses-chart')}?{days}&by={by}",
            "sentence": f"Plants lost by {by}; the hatched part is beyond what was expected.",
            "height": 300 if by == "month" else 80 + 34 * max(len(rows), 1),
            "heads": (by.capitalize(), f"Lost, of {plain(sums.quantity)}", "Expensed"),
            "rows": [
                (
                    row.name if by == "cause" else f"{row.name:%b %Y}",
                    plain(row.quantity),
                    money(row.expensed),
                )
                for row in rows
            ],
        }


def _margin_picture(by, since, until, days, counted):
    found = margin_by(by, since=since, on=until, counted=counted)
    rows = sorted(found, key=lambda row: -row.margin)[:12]
    tall = 42 if by == "plant" else 32
    return {
        "source": f"{reverse('sales:margin-chart')}?{days}&by={by}",
        "sentence": f"What was left of the sales of each {by}, the largest first.",
        "height": 60 + tall * max(len(rows), 1),
        "heads": (by.capitalize(), "Margin"),
        "rows": [(row.key, money(row.margin)) for row in rows],
    }
