"""Keep pictures of plants and lots."""

from uuid import UUID

from inventory.errors import LedgerError
from inventory.models import Lot, Photo, Plant
from inventory.operations.posting import ledger_held
from nursery.kept_files import keep_file
from nursery.pictures import NoPicture, fit_to_show


def add_photo(
    *, plant: Plant, content: bytes, request_id: UUID, lot: Lot | None = None, by=None
) -> Photo:
    """Keep a picture of a plant, or of one lot of it, without what it tells of place and time.

    The same request again returns the first result. Raises LedgerError for what is no JPEG,
    PNG or WebP picture, is too large, or for a lot of another plant.
    """
    if done := Photo.objects.filter(request_id=request_id).first():
        return done
    if lot and lot.plant_id != plant.pk:
        raise LedgerError(f"Lot {lot} holds {lot.plant}, not {plant}.", field="lot")
    try:
        # The work of a second or two is done before the ledger is held.
        made = fit_to_show(content)
    except NoPicture as error:
        raise LedgerError(str(error), field="picture") from error
    with ledger_held():
        if done := Photo.objects.filter(request_id=request_id).first():
            return done
        return Photo.objects.create(
            plant=plant,
            lot=lot,
            large=keep_file(made.large, "jpg"),
            small=keep_file(made.small, "jpg"),
            width=made.width,
            height=made.height,
            request_id=request_id,
            added_by=by,
        )


def remove_photo(*, photo: Photo, by=None) -> None:
    """Take a picture off every page; `put_photo_back` undoes it."""
    with ledger_held():
        Photo.objects.filter(pk=photo.pk).update(is_removed=True)


def put_photo_back(*, photo: Photo, by=None) -> None:
    """Show a picture again that was taken off."""
    with ledger_held():
        Photo.objects.filter(pk=photo.pk).update(is_removed=False)
