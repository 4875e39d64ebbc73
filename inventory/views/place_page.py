"""The page of a place: what stands there, what is due there, how its bench was found."""

from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from inventory.errors import LedgerError
from inventory.forms.bench import BenchForm
from inventory.forms.spraying import SprayingForm
from inventory.models import BenchNote, Place, Spraying
from inventory.operations import bench, spraying
from inventory.queries.listed import listed_lots, summed
from inventory.queries.spraying import closed_places
from inventory.queries.work_list import work_list
from inventory.temperature import temperature
from inventory.views.catalogue import enter
from nursery.context import current_nursery
from nursery.http import go_to
from nursery.undo import offer_undo

SHOWN_NOTES = 14


@require_http_methods(["GET", "POST"])
def place(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a place, and note what was seen on its bench."""
    shown = get_object_or_404(Place.objects.select_related("parent"), pk=pk)
    form = BenchForm(request.POST or None)
    if form.is_valid():
        try:
            note = bench.note_bench(place=shown, by=request.user, **form.what)
        except LedgerError as error:
            form.refuse(error)
        else:
            undo = reverse("inventory:bench-note-remove", args=[note.pk])
            offer_undo(request, f"{shown}: {_words(note)}.", undo)
            return go_to(request, "inventory:place", pk)
    on = date.today()
    notes = shown.bench_notes.filter(is_removed=False)[:SHOWN_NOTES]
    context = {
        "place": "growing",
        "shown": shown,
        "form": form,
        "sum": summed(listed_lots().filter(balance__place=shown)),
        "work": work_list(on, current_nursery(), place=pk),
        "notes": [(note, _words(note)) for note in notes],
        "on": on,
        "closed": closed_places(timezone.now()).get(pk),
        "sprayings": shown.sprayings.filter(is_removed=False)[:SHOWN_NOTES],
    }
    return render(request, "inventory/place.html", context)


@require_http_methods(["GET", "POST"])
def spraying_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down that a pesticide was used at a place."""
    shown = get_object_or_404(Place, pk=pk)
    form = SprayingForm(request.POST or None)
    return enter(
        request,
        form,
        write=lambda: spraying.spray(place=shown, by=request.user, **form.what),
        said=lambda row: f"{row.product} at {shown} is written down.",
        undo=lambda row: reverse("inventory:spraying-remove", args=[row.pk]),
        to=lambda _: ("inventory:place", pk),
        context={"shown": shown},
        template="inventory/spraying.html",
    )


@require_POST
def spraying_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a use of a pesticide back."""
    row = get_object_or_404(Spraying, pk=pk)
    spraying.remove_spraying(spraying=row)
    undo = reverse("inventory:spraying-back", args=[pk])
    offer_undo(request, f"{row.product} is taken back: the place counts as open.", undo)
    return go_to(request, "inventory:place", row.place_id)


@require_POST
def spraying_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a use of a pesticide again."""
    row = get_object_or_404(Spraying, pk=pk)
    spraying.put_spraying_back(spraying=row)
    messages.success(request, f"{row.product} is kept.")
    return go_to(request, "inventory:place", row.place_id)


@require_POST
def bench_note_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a note back."""
    note = get_object_or_404(BenchNote, pk=pk)
    bench.remove_bench_note(note=note)
    offer_undo(request, "The note is taken back.", reverse("inventory:bench-note-back", args=[pk]))
    return go_to(request, "inventory:place", note.place_id)


@require_POST
def bench_note_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a note again."""
    note = get_object_or_404(BenchNote, pk=pk)
    bench.put_bench_note_back(note=note)
    messages.success(request, "The note is kept.")
    return go_to(request, "inventory:place", note.place_id)


def _words(note):
    moist = f"medium {note.get_moisture_display()}" if note.moisture else ""
    warm = note.temperature_c is not None and temperature(note.temperature_c, current_nursery())
    return ", ".join(filter(None, (moist, warm or "")))
