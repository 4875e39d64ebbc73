"""What the database refuses of links to the calendar, each by the rule's name."""

from collections.abc import Callable

from inventory.models import CalendarLink, Lot
from tests.factories import UserFactory


def two_links(lot: Lot) -> None:
    person = UserFactory()
    for letter in "ab":
        CalendarLink.objects.create(person=person, token=letter * 32)


CALENDAR_RULES: dict[str, Callable[[Lot], object]] = {
    "inventory_calendarlink_one_link_stands": two_links,
    "inventory_calendarlink_token_is_long": lambda lot: CalendarLink.objects.create(
        person=UserFactory(), token="a" * 31
    ),
}
