"""What bad input is tried on."""

from itertools import count

import pytest

from tests.fuzz.full_house import full_house
from tests.fuzz.visiting import NOTED, Visitor


@pytest.fixture
def house(db):
    """Fill a ledger with one of everything, in plain words."""
    numbers = count(1)
    return full_house(lambda longest: f"Word {next(numbers)}")


@pytest.fixture
def visitor(house, client, settings):
    """Let the owner visit pages, noting what each reads of what was sent."""
    settings.MIDDLEWARE = [*settings.MIDDLEWARE, NOTED]
    client.force_login(house.owner)
    return Visitor(client)
