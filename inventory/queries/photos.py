"""Which pictures show a plant."""

from collections.abc import Iterable

from django.db.models import Q, QuerySet

from inventory.models import Photo


def photos_of(**of) -> QuerySet:
    """Return the pictures of a plant or a lot, the newest first."""
    return Photo.objects.filter(is_removed=False, **of).select_related("lot")


def newest_photos(plants: Iterable[int]) -> dict[int, Photo]:
    """Return {plant: its newest picture} for those that have one."""
    rows = Photo.objects.filter(is_removed=False, plant__in=set(plants)).order_by("pk")
    return {photo.plant_id: photo for photo in rows}


def is_shown(name: str) -> bool:
    """Say whether a kept file is a picture that was not taken off."""
    return Photo.objects.filter(Q(large=name) | Q(small=name), is_removed=False).exists()
