"""The pages of bills and of space, and the spacing of containers."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory import operations
from inventory.models import Bill, Closing, Container, Nursery, Operation
from tests.bill_scenes import FIRST, LAST, bill, house, lot_in
from tests.entering import as_grower, kept_figures, page
from tests.factories import NurseryFactory, UserFactory, container, lot_holding

pytestmark = pytest.mark.django_db


@pytest.fixture
def grower(client):
    NurseryFactory()
    return as_grower(client)


def typed(place=None, **more) -> dict:
    """Return the form as the page would send it."""
    facts = {
        "request_id": str(uuid4()),
        "category": "heat",
        "amount": "100.00",
        "first_day": FIRST.isoformat(),
        "last_day": LAST.isoformat(),
        "place": place.pk if place else "",
        "basis": "area",
        "unused": "plants",
        "note": "",
    }
    return facts | more


def test_a_page_of_bills_asks_for_a_login(client):
    for name in ("bill-list", "bill-add"):
        assert client.get(page(name)).status_code == 302
    assert client.get(reverse("sales:space")).status_code == 302


def test_entering_a_bill_needs_leave_to_write(client):
    NurseryFactory()
    client.force_login(UserFactory())

    assert client.post(page("bill-add"), typed()).status_code == 403


def test_the_form_offers_last_month(grower):
    shown = grower.get(page("bill-add"), follow=True).content.decode()

    last = date.today().replace(day=1) - timedelta(days=1)
    assert f'value="{last.isoformat()}"' in shown
    assert "See each lot" in shown


def test_the_check_shows_each_part_and_what_each_choice_does(grower):
    place = house("10.00")
    pot = container("#1")
    pot.footprint_cm = 10
    pot.save()
    lot_in(place, 400, "A")

    shown = grower.post(page("bill-add"), typed(place, check="1")).content.decode()

    assert "$0.25" in shown, "borne by 400 plants"
    assert "$0.10" in shown, "where 60 of 100 are expensed"
    assert "60%" in shown
    assert "$60.00" in shown
    assert "Publications differ" in shown
    assert not Bill.objects.exists()


def test_saving_shows_the_bill_with_its_parts_and_undo(grower):
    place = house()
    lot_in(place, 10, "A")

    shown = grower.post(page("bill-add"), typed(place, save="1"), follow=True).content.decode()

    assert "Who bears the bill for heat and utilities?" in shown
    assert "100.00" in shown
    assert page("bill-undo", Bill.objects.get().pk) in shown


def test_saving_twice_enters_one_bill(grower):
    lot_in(house(), 10, "A")
    data = typed(save="1")

    grower.post(page("bill-add"), data)
    shown = grower.post(page("bill-add"), data, follow=True).content.decode()

    assert Bill.objects.count() == 1
    assert "saved already" in shown


def test_back_keeps_what_was_typed(grower):
    shown = grower.post(page("bill-add"), typed(amount="12.34", again="1")).content.decode()

    assert 'value="12.34"' in shown


@pytest.mark.parametrize("button", ["check", "save"])
def test_a_refusal_keeps_what_was_typed_and_says_what_would_be_right(grower, button):
    answer = grower.post(page("bill-add"), typed(house(), amount="12.34", **{button: "1"}))

    shown = answer.content.decode()
    assert answer.status_code == 200
    assert "Choose other days or another place" in shown
    assert 'value="12.34"' in shown
    assert not Bill.objects.exists()


def test_closed_days_are_refused_before_anything_is_shown(grower):
    lot_in(house(), 10, "A")
    Closing.objects.create(kind="close", closed_to=LAST, request_id=uuid4())

    shown = grower.post(page("bill-add"), typed(check="1")).content.decode()

    assert "The first open day is 2025-04-01" in shown


def test_undo_takes_the_bill_back_everywhere(grower):
    lot_in(house(), 10, "A")
    before = kept_figures()
    entered = bill()

    shown = grower.post(page("bill-undo", entered.pk), follow=True).content.decode()

    assert kept_figures()["balances"] == before["balances"]
    assert "No lot bears any of it now" in shown
    again = grower.post(page("bill-undo", entered.pk), follow=True).content.decode()
    assert "Undone" in again, "pressed twice, it is the same undoing"
    assert Bill.objects.count() == 2


def test_an_entry_of_a_bill_leads_to_the_bill_and_its_undo(grower):
    lot_in(house(), 10, "A")
    entered = bill()

    shown = grower.get(page("entry-list")).content.decode()

    assert page("bill", entered.pk) in shown
    assert page("bill-undo", entered.pk) in shown
    part = Operation.objects.latest("pk")
    assert page("undo", part.pk) not in shown


def test_the_list_shows_bills_and_not_their_undoing(grower):
    lot_in(house(), 10, "A")
    operations.undo_bill(bill=bill(), request_id=uuid4())

    answer = grower.get(page("bill-list"))

    assert len(answer.context["table"].rows) == 1
    assert "undone" in answer.content.decode()


def test_the_pages_ask_as_much_for_many_lots_as_for_few(grower, django_assert_max_num_queries):
    place = house()
    for number in range(12):
        lot_in(place, 10, f"L{number}", on=FIRST - timedelta(days=number))
    entered = bill(place=place)

    with django_assert_max_num_queries(12):
        grower.get(page("bill", entered.pk))
    with django_assert_max_num_queries(16):
        grower.post(page("bill-add"), typed(place, check="1"))
    with django_assert_max_num_queries(14):
        grower.get(reverse("sales:space"), {"since": FIRST, "until": LAST})


def test_the_space_page_shows_used_and_unused_in_square_foot_weeks(grower):
    pot = container("#1")
    pot.footprint_cm = 10
    pot.save()
    lot_in(house("10.00"), 400, "A")
    bill()

    answer = grower.get(reverse("sales:space"), {"since": FIRST, "until": LAST})

    shown = answer.content.decode()
    assert "40%" in shown
    assert "square-foot-weeks" in shown
    whole = answer.context["whole"]
    weeks = Decimal(4) * 31 / 7 / Decimal("0.09290304")
    assert abs(float(whole.used) - float(weeks)) < 0.001
    assert abs(float(whole.each) - 100 / float(weeks)) < 1e-9


def test_the_space_page_speaks_metres_where_the_nursery_does(client):
    NurseryFactory(units=Nursery.Units.METRIC)
    place = house(None)
    lot_in(place, 10, "A")

    shown = as_grower(client).get(reverse("sales:space")).content.decode()

    assert "square-metre-weeks" in shown
    assert "How large each place is has not been entered" in shown


def test_the_space_page_names_containers_without_room(grower):
    pot = container("#3")
    pot.footprint_cm = None
    pot.save()
    lot_holding(10, size="#3", on=FIRST)

    shown = grower.get(reverse("sales:space"), {"since": FIRST, "until": LAST}).content.decode()

    assert "How much room one takes is not known of #3" in shown


def test_books_and_growing_lead_to_the_bills(grower):
    for address in (reverse("sales:books"), page("growing")):
        assert page("bill-list") in grower.get(address).content.decode()


def spacing(**more) -> dict:
    facts = {"request_id": str(uuid4()), "name": "Pot", "footprint_cm": "17", "in_use": "on"}
    return facts | {"spacing_cm": "20", "spacing_pattern": "diagonal"} | more


def test_a_container_gets_its_spacing(grower):
    pot = container("#1")

    grower.post(page("container-edit", pot.pk), spacing())

    pot = Container.objects.get(pk=pot.pk)
    assert (pot.spacing_cm, pot.spacing_pattern) == (20, "diagonal")
    assert "20 diagonal" in grower.get(page("container-list")).content.decode()


def test_a_spacing_below_the_pot_is_refused_in_words(grower):
    """Pots cannot stand on centres closer than their width (GPN, Grower 101: Calculations
    Part IV: Spacing Containers, read)."""
    pot = container("#1")

    shown = grower.post(page("container-edit", pot.pk), spacing(spacing_cm="16")).content.decode()

    assert "Pots 17 cm wide cannot stand 16 cm apart. Enter 17 or more" in shown
    assert Container.objects.get(pk=pot.pk).spacing_cm is None
