"""The work of one week on paper, for the potting bench."""

from datetime import date

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.models import Place
from inventory.queries.work_list import Week, week_of_work
from nursery.context import current_nursery
from sales.documents.pdf import PdfNotPossible, pdf_of


@require_safe
def week_sheet(request: HttpRequest, code: str) -> HttpResponse:
    """Answer with the sheet of a week, named as 2026-W48, or 404 where there is no such week."""
    week = _week(code)
    nursery = current_nursery()
    context = {
        "nursery": nursery,
        "week": week,
        "work": week_of_work(week, nursery),
        "benches": Place.objects.filter(heated=True),
    }
    try:
        pdf = pdf_of("documents/week_sheet.html", context)
    except PdfNotPossible as error:
        told = {"place": "growing", "error": error}
        return render(request, "sales/week_no_pdf.html", told, status=503)
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="work-{week.code}.pdf"'
    return response


def _week(code: str) -> Week:
    year, _, number = code.partition("-W")
    try:
        return Week(date.fromisocalendar(int(year), int(number), 1))
    except ValueError as error:
        raise Http404 from error
