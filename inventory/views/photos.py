"""Pictures of plants: hand one in, see it, take it off, put it back."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from inventory.forms.photos import PhotoForm
from inventory.models import Lot, Photo, Plant
from inventory.operations import photos as operations
from inventory.queries.photos import is_shown
from nursery.guarding.headers import CROSS_ORIGIN
from nursery.http import go_to
from nursery.kept_files import kept_file
from nursery.pictures import tiny
from nursery.undo import offer_undo

YEAR = 365 * 24 * 60 * 60


@require_http_methods(["GET", "POST"])
def photo_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Hand in a picture of a plant."""
    return _add(request, get_object_or_404(Plant, pk=pk))


@require_http_methods(["GET", "POST"])
def lot_photo_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Hand in a picture of one lot, which shows its plant too."""
    lot = get_object_or_404(Lot.objects.select_related("plant"), pk=pk)
    return _add(request, lot.plant, lot)


def _add(request, plant, lot=None):
    form = PhotoForm(request.POST or None, request.FILES or None)
    if form.is_valid():
        try:
            typed = form.cleaned_data
            photo = operations.add_photo(
                plant=plant,
                lot=lot,
                content=typed["picture"],
                request_id=typed["request_id"],
                by=request.user,
            )
        except LedgerError as error:
            form.refuse(error)
        else:
            undo = reverse("inventory:photo-remove", args=[photo.pk])
            offer_undo(request, f"The picture shows {lot or plant} now.", undo)
            return go_to(request, *_where(photo))
    context = {"place": "growing", "form": form, "plant": plant, "lot": lot}
    return render(request, "inventory/photo_form.html", context)


@require_safe
def photo(request: HttpRequest, name: str) -> HttpResponse:
    """Answer with a picture in one of its sizes."""
    return picture_answer(name, "private")


@require_safe
def photo_tiny(request: HttpRequest, name: str) -> HttpResponse:
    """Answer with a picture as small as it stands beside a name."""
    answer = picture_answer(name, "private")
    answer.content = tiny(answer.content)
    return answer


def picture_answer(name: str, who: str) -> HttpResponse:
    """Return a kept picture, for `who`, "private" or "public", to keep; 404 where taken off."""
    if not is_shown(name) or not kept_file(name).exists():
        raise Http404
    answer = HttpResponse(kept_file(name).read_bytes(), content_type="image/jpeg")
    answer["Cache-Control"] = f"{who}, max-age={YEAR}, immutable"
    if who == "public":
        # It may stand on the nursery's own site, too.
        answer[CROSS_ORIGIN] = "cross-origin"
    return answer


@require_POST
def photo_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a picture off."""
    found = get_object_or_404(Photo, pk=pk)
    operations.remove_photo(photo=found, by=request.user)
    undo = reverse("inventory:photo-back", args=[pk])
    offer_undo(request, "The picture is taken off.", undo)
    return go_to(request, *_where(found))


@require_POST
def photo_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a picture back."""
    found = get_object_or_404(Photo, pk=pk)
    operations.put_photo_back(photo=found, by=request.user)
    offer_undo(request, "The picture is back.", reverse("inventory:photo-remove", args=[pk]))
    return go_to(request, *_where(found))


def _where(found):
    if found.lot_id:
        return "inventory:lot", found.lot_id
    return "inventory:plant", found.plant_id
