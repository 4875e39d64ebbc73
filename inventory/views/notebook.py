"""Bring a notebook in: the file, its columns, each row's fate, what came in."""

from dataclasses import replace
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from inventory.forms.notebook import ColumnsForm, NotebookFileForm, RowForm, answers_in
from inventory.models import ImportDraft, Operation
from inventory.notebook.fates import IN, OUT, YOU
from inventory.operations import import_drafts
from inventory.operations.bring_in import bring_in_draft
from inventory.queries.notebook import came_in, notebook_of
from nursery.http import go_to
from nursery.undo import offer_undo

PLACE = {"place": "growing"}
PER_PAGE = 25
QUESTIONS_SHOWN = 20
PREVIEW_ROWS = 6
FATES = ((YOU, "Needs you"), (IN, "Comes in"), (OUT, "Left out"))


@require_http_methods(["GET", "POST"])
def notebook(request: HttpRequest) -> HttpResponse:
    """Take a file, and keep it as a draft to go on with."""
    form = NotebookFileForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        try:
            draft = import_drafts.keep_draft(
                file=form.read, file_name=form.cleaned_data["file"].name, by=request.user
            )
        except LedgerError as error:
            form.add_error("file", str(error))
        else:
            _warn_of_second_time(request, draft)
            return go_to(request, "inventory:notebook-columns", draft.key)
    drafts = ImportDraft.objects.filter(owner=request.user).defer("sheets", "answers", "mended")
    return render(request, "inventory/notebook.html", PLACE | {"form": form, "drafts": drafts})


def _warn_of_second_time(request, draft):
    before = import_drafts.brought_in_before(draft.digest)
    if before and not before[-1].is_undone:
        messages.warning(
            request,
            f"This very file was brought in on {before[-1].entered_at:%d %B %Y}. Bring it in again "
            "only for other plants of it, else they stand in the ledger twice.",
        )


def _draft(request, key: UUID) -> ImportDraft:
    return get_object_or_404(ImportDraft, owner=request.user, key=key)


@require_http_methods(["GET", "POST"])
def notebook_columns(request: HttpRequest, key: UUID) -> HttpResponse:
    """Match the columns of the table to what the ledger keeps."""
    draft = _draft(request, key)
    form = ColumnsForm(request.POST or None, draft=draft, initial=_columns_of(draft))
    if form.is_valid():
        if form.is_another_sheet:
            import_drafts.choose_sheet(draft=draft, sheet=form.cleaned_data["sheet"])
            return go_to(request, "inventory:notebook-columns", key)
        what = {name: form.cleaned_data[name] for name in ("heading_row", "counted_on", "fill")}
        import_drafts.match_columns(draft=draft, matching=form.matching, **what)
        return go_to(request, "inventory:notebook-rows", key)
    start = max(draft.heading_row - 1, 0)
    preview = draft.rows[start : start + PREVIEW_ROWS]
    context = {"draft": draft, "form": form, "preview": preview, "rows": len(draft.rows)}
    return render(request, "inventory/notebook_columns.html", PLACE | context)


def _columns_of(draft):
    matched = {f"column_{place}": name for place, name in draft.matching.items()}
    named = ("sheet", "heading_row", "counted_on")
    return (
        matched
        | {name: getattr(draft, name) for name in named}
        | {"fill": draft.answers.get("fill", False)}
    )


@require_http_methods(["GET", "POST"])
def notebook_rows(request: HttpRequest, key: UUID) -> HttpResponse:
    """Show each row's fate, and take answers and mended cells."""
    draft = ImportDraft.objects.filter(owner=request.user, key=key).first()
    if draft is None:
        return _brought_in_already(request, key)
    found = notebook_of(draft)
    if request.method == "POST":
        answers, mended = answers_in(request.POST, found)
        import_drafts.answer_draft(draft=draft, answers=answers, mended=mended)
        return redirect(request.get_full_path())
    counts = {fate: len(found.of_fate(fate)) for fate, _ in FATES}
    show = request.GET.get("show")
    show = show if show in counts else YOU if counts[YOU] else IN
    asked_once = found.questions[:QUESTIONS_SHOWN] if show == YOU else []
    lines = [line for line in found.of_fate(show) if show != YOU or line.mend]
    context = {
        "draft": draft,
        "counts": counts,
        "fates": [(fate, words, counts[fate]) for fate, words in FATES],
        "show": show,
        "questions": asked_once,
        "more_questions": len(found.questions) - len(asked_once),
        "page": Paginator(lines, PER_PAGE).get_page(request.GET.get("page")),
        "searched": found.plants.searched,
        "unsearched": found.plants.unsearched,
        "plants": sum(row.quantity for row in found.standing),
        "cost": sum(row.amount or 0 for row in found.standing),
        "prices": sum(row.price is not None for row in found.standing),
        "may_price": request.user.has_perm("sales.add_price"),
    }
    return render(request, "inventory/notebook_rows.html", PLACE | context)


def _brought_in_already(request, key):
    """Lead a second press on to what the first one brought in."""
    done = Operation.objects.filter(request_id=key).first()
    if done is None:
        raise Http404
    messages.info(request, "This notebook was brought in already; nothing more was written.")
    return go_to(request, "inventory:notebook-done", done.pk)


@require_http_methods(["GET", "POST"])
def notebook_row(request: HttpRequest, key: UUID, number: int) -> HttpResponse:
    """Mend any cell of one row, or leave the row out."""
    draft = _draft(request, key)
    lines = notebook_of(draft).lines
    line = next((line for line in lines if line.number == number), None)
    if line is None:
        raise Http404
    form = RowForm(request.POST or None, line=line)
    if form.is_valid():
        import_drafts.answer_draft(draft=draft, answers={}, mended={str(number): form.mended})
        return go_to(request, "inventory:notebook-rows", key)
    context = {"draft": draft, "line": line, "form": form, "verb": "Keep the row so"}
    context["back"] = reverse("inventory:notebook-rows", args=[key])
    return render(request, "inventory/notebook_row.html", PLACE | context)


@require_POST
def notebook_bring_in(request: HttpRequest, key: UUID) -> HttpResponse:
    """Enter the rows that come in, and forget the draft."""
    draft = ImportDraft.objects.filter(owner=request.user, key=key).first()
    if draft is None:
        return _brought_in_already(request, key)
    found = notebook_of(draft)
    if found.of_fate(YOU) and "rest" not in request.POST:
        messages.error(request, "Some rows still need you. Answer them, or tick to leave them out.")
        return go_to(request, "inventory:notebook-rows", key)
    rows = found.standing
    if not request.user.has_perm("sales.add_price"):
        rows = [replace(row, price=None) for row in rows]
    try:
        note = f"From {draft.file_name}"
        operation = bring_in_draft(draft=draft, rows=rows, note=note, by=request.user)
    except LedgerError as error:
        messages.error(request, str(error))
        return go_to(request, "inventory:notebook-rows", key)
    text = f"{sum(row.quantity for row in rows):,} plants of {draft.file_name} came in."
    offer_undo(request, text, reverse("inventory:undo", args=[operation.pk]))
    return go_to(request, "inventory:notebook-done", operation.pk)


@require_POST
def notebook_forget(request: HttpRequest, key: UUID) -> HttpResponse:
    """Throw a draft away."""
    draft = _draft(request, key)
    import_drafts.forget_draft(draft=draft)
    messages.success(request, f"{draft.file_name} is forgotten. The ledger is as it was.")
    return go_to(request, "inventory:notebook")


@require_safe
def notebook_done(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what an entry of opening stock brought in."""
    operation = get_object_or_404(Operation, pk=pk, kind=Operation.Kind.OPENING)
    context = {"operation": operation, "came": came_in(operation)}
    return render(request, "inventory/notebook_done.html", PLACE | context)
