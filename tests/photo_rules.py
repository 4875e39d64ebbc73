"""What the database refuses of photos and of a notebook coming in, each by the rule's name."""

from collections.abc import Callable
from uuid import uuid4

from inventory.models import ImportDraft, Lot, Photo
from tests.factories import DAY, UserFactory


def photo(lot: Lot, **more) -> Photo:
    facts = {"large": "a.jpg", "small": "b.jpg", "width": 4, "height": 3, "request_id": uuid4()}
    return Photo.objects.create(plant=lot.plant, **facts | more)


def draft(**more) -> ImportDraft:
    facts = {"file_name": "book.csv", "digest": "d", "sheets": [["", []]], "counted_on": DAY}
    facts |= {"key": uuid4()} | more
    if "owner" not in facts:
        facts["owner"] = UserFactory()
    return ImportDraft.objects.create(**facts)


def one_file_twice(lot: Lot) -> None:
    owner, key = UserFactory(), uuid4()
    for _ in range(2):
        draft(owner=owner, key=key)


PHOTO_RULES: dict[str, Callable[[Lot], object]] = {
    "inventory_photo_has_a_size": lambda lot: photo(lot, height=0),
    "inventory_photo_has_both_files": lambda lot: photo(lot, small=""),
    "inventory_importdraft_is_one_for_each_file": one_file_twice,
    "inventory_importdraft_names_its_file": lambda lot: draft(digest=""),
}
