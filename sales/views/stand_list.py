"""All stand days with what was not paid over time, and a day's sheet on paper."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from nursery import charts
from nursery.listing import list_page
from nursery.templatetags.nursery_tags import money, share
from sales.documents.pdf import PdfNotPossible
from sales.documents.stand_sheet import stand_sheet_pdf
from sales.models import StandDay
from sales.queries.stand_page import shortages, stand_days
from sales.tables.stand import StandTable

MOST_DAYS, FEW_DAYS = 24, 8
HEIGHT = 260
HEADS = ("Closed", "Worth of what was taken", "Paid", "Not paid", "Share")


@require_safe
def stand_list(request: HttpRequest) -> HttpResponse:
    """Show which stands are open, and what those before came to."""
    rows = stand_days()
    alone = shortages(rows)[-MOST_DAYS:]
    context = {
        "place": "sell",
        "open": [row for row in rows if row.day.is_open],
        "shortages": alone,
        "not_paid": sum(one.not_paid for one in alone),
        "worth": sum(one.worth for one in alone),
        "chart": reverse("sales:stand-chart") + "?by=day",
        "heads": HEADS,
        "chart_rows": [
            (
                _day_words(one),
                money(one.worth),
                money(one.worth - one.not_paid),
                money(one.not_paid),
                share(one.share),
            )
            for one in alone
        ],
        "today": timezone.localdate(),
    }
    closed = [row for row in rows if not row.day.is_open]
    return list_page(
        request,
        StandTable,
        closed,
        template="sales/stand_list.html",
        context=context,
        export_name="stand-days",
    )


@require_safe
def stand_chart(request: HttpRequest) -> HttpResponse:
    """Draw what was paid and not paid at each unattended stand as standing bars."""
    most = FEW_DAYS if "narrow" in request.GET else MOST_DAYS
    rows = shortages(stand_days())[-most:]
    series = [
        charts.Series("paid", [one.worth - one.not_paid for one in rows], charts.TONES[1]),
        charts.Series("not paid", [one.not_paid for one in rows], charts.CLAY, "///"),
    ]

    def draw(axes):
        names = [f"{one.row.closed_on.day}\n{one.row.closed_on:%b}" for one in rows]
        charts.columns(axes, names, series, money)

    width, height = charts.size_asked(request, HEIGHT)
    return charts.svg_response(charts.svg(draw, width, height))


@require_safe
def stand_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer with the day's sheet as a PDF."""
    day = get_object_or_404(StandDay.objects.select_related("place"), pk=pk)
    try:
        pdf = stand_sheet_pdf(day)
    except PdfNotPossible as error:
        told = {"place": "sell", "day": day, "error": error}
        return render(request, "sales/stand_no_pdf.html", told, status=503)
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="stand-{day.date.isoformat()}.pdf"'
    return response


def _day_words(one):
    day = one.row.closed_on
    return f"{day.day} {day:%b %Y}, {one.row.day.place}"
