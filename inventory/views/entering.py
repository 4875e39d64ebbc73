"""Ask and answer for every entry: look ahead, write once, offer Undo, go on."""

from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from inventory.errors import LedgerError
from inventory.models import Lot, Operation
from inventory.operations.steps import enter_for_step
from inventory.queries.batch_steps import ticked_by_entry
from inventory.queries.later_sales import costs_of_later_sales, how_many_changed, lots_of
from nursery.context import current_nursery
from nursery.http import go_to
from nursery.once import saved_before
from nursery.undo import offer_undo


@dataclass
class Page:
    """How the page of one entry speaks, and what it does.

    `foresee` returns what will be true after, from a valid form; `write` writes
    and returns the operation; `said` tells what was done; `to` is where to go,
    `after` where it is the same whatever was written.
    """

    heading: str
    verb: Callable[[], str] | str
    foresee: Callable[[], str]
    write: Callable[[], Operation]
    said: Callable[[Operation], str]
    to: Callable[[Operation], tuple]
    context: dict = field(default_factory=dict)
    after: str = ""
    template: str = "entry.html"


def lot_to_enter(pk: int) -> Lot:
    """Return a lot with all that its form shows, or 404."""
    rows = Lot.objects.select_related(
        "plant", "container", "balance__place", "balance__measurement"
    )
    return get_object_or_404(rows, pk=pk)


def answer(request: HttpRequest, form, page: Page) -> HttpResponse:
    """Show the form, look ahead, or write and go on."""
    if "preview" not in request.POST and (known := saved_before(request, form, url=page.after)):
        return known
    sentence = ""
    if form.is_bound and form.is_valid():
        if "preview" not in request.POST:
            done = _written(request, form, page)
            if done:
                return done
        else:
            sentence = page.foresee()
    elif "preview" in request.POST:
        sentence = _first_mistake(form)
    context = {
        "form": form,
        "heading": page.heading,
        "verb": page.verb() if callable(page.verb) else page.verb,
        "sentence": sentence,
        "place": "growing",
        "each": _cost_of_one(getattr(form, "lot", None)),
        **page.context,
    }
    name = "_foresight.html" if request.htmx and "preview" in request.POST else page.template
    return render(request, f"inventory/{name}", context)


def ticking(request: HttpRequest, write: Callable[[], Operation]) -> Callable[[], Operation]:
    """Return `write`, ticking as well the step of a batch that the address names, where it does.

    An address names it as ?step=BATCH-STEP, when it was opened from the work list.
    """
    found = ticked_by_entry(request.GET.get("step", ""), current_nursery())
    if found is None:
        return write
    return lambda: enter_for_step(batch=found.batch, step=found.step, write=write, by=request.user)


def _first_mistake(form):
    """Return what is wrong with what was typed; what is still missing can wait."""
    mistakes = (error for errors in form.errors.as_data().values() for error in errors)
    return next((error.messages[0] for error in mistakes if error.code != "required"), "")


def _cost_of_one(lot):
    if lot is None or not lot.balance.on_hand:
        return None
    return lot.balance.cost / lot.balance.on_hand


def _written(request, form, page):
    try:
        operation = write_and_tell(
            request,
            ticking(request, page.write),
            lots=form.touched_lots(),
            since=form.cleaned_data["on"],
            said=page.said,
        )
    except LedgerError as error:
        form.refuse(error)
        return None
    return go_to(request, *page.to(operation))


def write_and_tell(
    request: HttpRequest,
    write: Callable[[], Operation],
    *,
    lots: Collection[int],
    since: date,
    said: Callable[[Operation], str],
) -> Operation:
    """Write an entry and say on the next page what was done, with Undo.

    An entry for a past day says how many later sales got another cost.
    """
    before = costs_of_later_sales(lots, since)
    operation = write()
    changed = how_many_changed(before, costs_of_later_sales(lots_of(operation), since))
    text = " ".join(filter(None, (said(operation), later_words(changed))))
    offer_undo(request, text, reverse("inventory:undo", args=[operation.pk]))
    return operation


def later_words(changed: int) -> str:
    """Say how many later sales got another cost."""
    if not changed:
        return ""
    if changed == 1:
        return "1 later sale got its new cost."
    return f"{changed} later sales got their new cost."


def with_number(verb: str, form, name: str) -> str:
    """Return the main button's words: "Pot up 40" once the number is known."""
    number = form.cleaned_data.get(name) if form.is_bound and form.is_valid() else None
    return f"{verb} {number}" if number else verb
