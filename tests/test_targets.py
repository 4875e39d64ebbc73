"""What is wanted for sale: said, changed, taken off and put back."""

from datetime import date
from uuid import uuid4

import pytest

from inventory import operations
from inventory.errors import LedgerError
from inventory.models import Target
from tests.factories import PlantFactory, container

pytestmark = pytest.mark.django_db

SPRING = date(2028, 4, 1)


def wanted(**more) -> Target:
    facts = {"container": container("#1"), "quantity": 120, "ready_by": SPRING, "note": "fair"}
    facts |= {"request_id": uuid4()} | more
    return operations.add_target(plant=facts.pop("plant", None) or PlantFactory(), **facts)


def test_a_target_is_wanted_once_though_sent_twice():
    key, plant = uuid4(), PlantFactory()
    first = wanted(plant=plant, request_id=key)
    second = wanted(plant=plant, request_id=key, quantity=7)

    assert first == second and Target.objects.get().quantity == 120
    assert first.get_assurance_display() == "nine times in ten"


def test_plants_are_not_wanted_in_a_tray():
    with pytest.raises(LedgerError, match="not sold in tray"):
        wanted(container=container("tray"))
    assert not Target.objects.exists()


def test_a_change_is_undone_by_a_change_back():
    target = wanted()
    said = ("plant", "container", "quantity", "ready_by", "assurance", "note")
    before = {name: getattr(target, name) for name in said}

    operations.change_target(target=target, **before | {"quantity": 80, "assurance": 95})
    assert (Target.objects.get().quantity, Target.objects.get().assurance) == (80, 95)
    operations.change_target(target=target, **before)
    assert {name: getattr(Target.objects.get(), name) for name in said} == before


def test_a_target_taken_off_comes_back_as_it_was():
    target = wanted()

    operations.remove_target(target=target)
    operations.remove_target(target=target)
    assert Target.objects.get().is_removed
    operations.put_target_back(target=target)
    assert not Target.objects.get().is_removed
