"""What the database refuses of the record of who did what, each by the rule's name."""

from collections.abc import Callable

from inventory.models import Lot
from nursery.models import Deed
from tests.factories import UserFactory


def deed(**more) -> Deed:
    return Deed.objects.create(**{"kind": "growing", "what": "potted up"} | more)


WATCH_RULES: dict[str, Callable[[Lot], object]] = {
    "nursery_deed_kind_is_known": lambda lot: deed(kind="gossip"),
    "nursery_deed_says_what": lambda lot: deed(what=""),
    "nursery_deed_of_a_person_or_a_command": lambda lot: deed(
        by=UserFactory(), machine_user="root"
    ),
}
