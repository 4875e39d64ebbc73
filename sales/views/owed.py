"""What is owed by age, a buyer's statement, and a friendly reminder."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from nursery.listing import list_page
from sales.ages import doubtful
from sales.documents.papers import statement_paper
from sales.documents.pdf import PdfNotPossible
from sales.forms.owed import DoubtForm, OwedForm
from sales.forms.year import SpanForm
from sales.queries.owed_by_age import all_owed, owed_by_buyer
from sales.queries.reminder import reminder_for
from sales.queries.statement import statement_of
from sales.tables.owed import OwedTable
from sales.views.buyers import buyer_at


@require_safe
def owed(request: HttpRequest) -> HttpResponse:
    """Show who owes what by age, on any day."""
    form, doubt = OwedForm(request.GET), DoubtForm(request.GET)
    day = form.day or timezone.localdate()
    rows = owed_by_buyer(day)
    total = all_owed(rows)
    return list_page(
        request,
        OwedTable,
        rows,
        template="sales/owed.html",
        context={
            "place": "sell",
            "form": form,
            "day": day,
            "total": total,
            "doubt": doubt,
            "doubtful": doubtful(total.sums, doubt.percents),
        },
        export_name=f"owed-{day.isoformat()}",
    )


@require_safe
def statement(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what came to a buyer's balance in a span of days, and what it is."""
    buyer = buyer_at(pk)
    form = SpanForm(request.GET)
    since, until = form.span
    context = {
        "place": "buyers",
        "form": form,
        "statement": statement_of(buyer, since, until),
        "days": f"since={since.isoformat()}&until={until.isoformat()}",
    }
    return render(request, "sales/statement.html", context)


@require_safe
def statement_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer with the statement as a PDF, or say what this machine lacks for it."""
    buyer = buyer_at(pk)
    since, until = SpanForm(request.GET).span
    found = statement_of(buyer, since, until)
    try:
        pdf = statement_paper(found)
    except PdfNotPossible as error:
        told = {"place": "buyers", "error": error, "buyer": buyer}
        return render(request, "sales/statement_no_pdf.html", told, status=503)
    response = HttpResponse(pdf, content_type="application/pdf")
    name = f"statement-{pk}-{until.isoformat()}.pdf"
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response


@require_safe
def reminder(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a text to copy or mail: what is owed, and since when."""
    buyer = buyer_at(pk)
    context = {
        "place": "buyers",
        "buyer": buyer,
        "reminder": reminder_for(buyer, timezone.localdate()),
        "back": reverse("sales:buyer", args=[pk]),
    }
    return render(request, "sales/reminder.html", context)
