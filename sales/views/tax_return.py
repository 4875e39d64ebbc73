"""What was taxed: a page, a paper and files, ready for a return."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.models import Nursery
from nursery.listing import list_page
from sales.documents.pdf import PdfNotPossible, pdf_of
from sales.forms.year import SpanForm
from sales.queries.tax_return import all_tax, tax_return
from sales.tables.tax_return import TaxReturnTable


@require_safe
def taxed(request: HttpRequest) -> HttpResponse:
    """Show what was taxed in a span of days, by jurisdiction."""
    form = SpanForm(request.GET)
    since, until = form.span
    rows = tax_return(since, until)
    return list_page(
        request,
        TaxReturnTable,
        rows,
        template="sales/taxed.html",
        context={
            "place": "books",
            "form": form,
            "since": since,
            "until": until,
            "days": f"since={since.isoformat()}&until={until.isoformat()}",
            "rows": rows,
            "tax": all_tax(rows),
        },
        export_name=f"tax-{since.isoformat()}-to-{until.isoformat()}",
    )


@require_safe
def taxed_pdf(request: HttpRequest) -> HttpResponse:
    """Answer with what was taxed as a PDF, or say what this machine lacks for it."""
    since, until = SpanForm(request.GET).span
    rows = tax_return(since, until)
    context = {
        "nursery": Nursery.current(),
        "since": since,
        "until": until,
        "rows": rows,
        "tax": all_tax(rows),
    }
    try:
        pdf = pdf_of("documents/taxed.html", context, language="en")
    except PdfNotPossible as error:
        told = {"place": "books", "error": error}
        return render(request, "sales/year_no_pdf.html", told, status=503)
    response = HttpResponse(pdf, content_type="application/pdf")
    name = f"tax-{since.isoformat()}-to-{until.isoformat()}.pdf"
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response
