"""What the database refuses of log-ins and recovery codes, each by the rule's name."""

from collections.abc import Callable

from inventory.models import Lot
from nursery.models import RecoveryCode
from tests.factories import UserFactory


def code(**more) -> RecoveryCode:
    return RecoveryCode.objects.create(**{"number": 3, "hashed": "x"} | more)


def twice(**facts) -> None:
    code(**facts)
    code(**facts)


DOOR_RULES: dict[str, Callable[[Lot], object]] = {
    "nursery_recoverycode_is_one_of_its_number": lambda lot: twice(account=UserFactory()),
    "nursery_recoverycode_number_is_a_digit": lambda lot: code(account=UserFactory(), number=10),
}
