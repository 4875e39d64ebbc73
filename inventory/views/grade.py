"""Say which grade a lot is."""

from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from inventory.errors import LedgerError
from inventory.forms.grade import GradeForm
from inventory.models import Lot
from inventory.operations.grade import grade_lot
from inventory.views.entering import lot_to_enter
from nursery.http import go_to
from nursery.undo import offer_undo


@require_http_methods(["GET", "POST"])
def grade(request: HttpRequest, pk: int) -> HttpResponse:
    """Set the grade, or leave it empty."""
    lot = lot_to_enter(pk)
    before = lot.grade
    form = GradeForm(request.POST or None, initial={"grade": before})
    if form.is_bound and form.is_valid():
        try:
            grade_lot(lot=lot, **form.cleaned_data)
        except LedgerError as error:
            form.add_error("grade", str(error))
        else:
            back = f"{reverse('inventory:grade-back', args=[pk])}?{urlencode({'grade': before})}"
            offer_undo(request, _said(lot), back)
            return go_to(request, "inventory:lot", pk)
    context = {"place": "growing", "lot": lot, "form": form, "each": None}
    return render(request, "inventory/grade.html", context)


@require_POST
def grade_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Put back the grade that stood there before."""
    lot = get_object_or_404(Lot, pk=pk)
    try:
        grade_lot(lot=lot, grade=request.GET.get("grade", ""))
    except LedgerError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Undone. {_said(lot)}")
    return go_to(request, "inventory:lot", pk)


def _said(lot):
    return f"Lot {lot} is grade {lot.grade}." if lot.grade else f"Lot {lot} has no grade."
