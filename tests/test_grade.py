"""The grade of a lot: set, put back, listed, priced, promised, and kept in the ledger file."""

import re
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory import operations as growing
from inventory.errors import LedgerError
from inventory.models import Lot, Operation
from inventory.operations.grade import grade_lot
from sales.models import Hold
from sales.queries.availability import availability
from tests.factories import (
    DAY,
    NurseryFactory,
    UserFactory,
    container,
    give_price,
    lot_holding,
)
from tests.ledger_figures import undo
from tests.test_hold import held
from tests.test_hold_pages import page, typed
from tests.test_ledger_file import exported, left_behind, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def grower(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


@pytest.fixture
def lots():
    """Twelve plants of grade A, and twenty of the same kind without a grade."""
    one = grade_lot(lot=lot_holding(12, "A1"), grade="A")
    return one, lot_holding(20, "B1", plant=one.plant)


def test_a_grade_is_set_once_and_taken_away():
    lot = lot_holding(12)

    for _ in range(2):
        grade_lot(lot=lot, grade=" A ")
    assert Lot.objects.get().grade == "A"

    grade_lot(lot=lot, grade="")
    assert Lot.objects.get().grade == ""


def test_a_grade_that_is_too_long_is_refused():
    with pytest.raises(LedgerError, match="Write a grade in 24 or fewer"):
        grade_lot(lot=lot_holding(12), grade="of the very best quality there is")


def test_each_grade_is_listed_by_itself_at_its_price(lots):
    give_price(lots[1], "9.00")
    give_price(lots[0], "14.00", grade="A")

    rows = {(row.grade, row.available, row.price) for row in availability()}

    assert rows == {("A", 12, Decimal(14)), ("", 20, Decimal(9))}


def test_plants_moved_keep_their_grade_and_plants_potted_up_lose_it(lots):
    facts = {"lot": lots[0], "on": DAY, "request_id": uuid4()}
    growing.move(quantity=5, to_lot="A2", **facts)
    facts["request_id"] = uuid4()
    growing.pot_up(quantity=5, to_lot="P", container=container("#3"), **facts)

    assert Lot.objects.get(code="A2").grade == "A"
    assert Lot.objects.get(code="P").grade == ""


def test_a_hold_of_a_grade_leaves_the_others_free(lots):
    held(lots[0], 12, grade="A")

    assert {(row.grade, row.available) for row in availability()} == {("", 20)}


def test_the_page_grades_a_lot_and_puts_it_back(grower, lots):
    address = reverse("inventory:grade", args=[lots[1].pk])
    assert '<option value="A">' in grower.get(address).content.decode()

    text = grower.post(address, {"grade": "B"}, follow=True).content.decode()
    assert "Lot B1 is grade B." in text

    back = f"{reverse('inventory:grade-back', args=[lots[1].pk])}?grade="
    assert back in text
    grower.post(back)
    assert Lot.objects.get(code="B1").grade == ""


def test_who_may_not_enter_is_refused(client, lots):
    client.force_login(UserFactory())

    for name in ("grade", "grade-back"):
        address = reverse(f"inventory:{name}", args=[lots[1].pk])
        assert client.post(address, {"grade": "B"}).status_code == 403


def test_lists_and_the_stand_say_the_grade(grower, lots):
    give_price(lots[0], "9.00")
    key = f"{lots[0].plant_id}-{lots[0].container_id}"

    assert "Grade" in page(grower, "inventory:lot-list")
    # What a grade is stands beside the word.
    assert re.search(r"grade\b.*> A</p>", page(grower, "inventory:lot", lots[0].pk), re.DOTALL)
    assert "A1, grade A, 12 free" in page(grower, "sales:sell", **{f"n-{key}": 3})


def test_a_list_without_grades_has_no_column_for_them(grower):
    lot_holding(12)

    assert "Grade" not in page(grower, "inventory:lot-list")


def test_the_form_of_a_hold_asks_for_the_grade(grower, lots):
    key = f"{lots[0].plant_id}-{lots[0].container_id}"
    assert "grade A, 12 free now" in page(grower, "sales:hold-add", **{f"n-{key}": 5})

    grower.post(reverse("sales:hold-add"), typed(lots[0], 5, **{f"grade-{key}": "A"}))

    assert Hold.objects.get().lines.get().grade == "A"


def test_grades_survive_the_way_out_and_in():
    with left_behind():
        grade_lot(lot=lot_holding(12, "A1"), grade="A")
        grade_lot(lot=lot_holding(3, "U1"), grade="B")
        undo(Operation.objects.latest("pk"))
        text = exported()

    read(text)

    assert list(Lot.objects.values_list("code", "grade")) == [("A1", "A")]
    assert exported() == text
    assert "U1" not in text, "what was undone is left out"
