"""The pages of targets: what to stick, and when; said, changed and taken back."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory import operations
from inventory.models import Method, MethodStep, Target
from inventory.operations.catalogue import expect_loss
from inventory.queries.plans import Planner, targets
from nursery.coming import coming_events
from sales import operations as sales_operations
from tests.entering import as_grower, page
from tests.factories import (
    BuyerFactory,
    NurseryFactory,
    PlantFactory,
    UserFactory,
    container,
    lot_holding,
)

pytestmark = pytest.mark.django_db
TODAY = date.today()
IN_THREE_YEARS = date(TODAY.year + 3, 4, 1)


def wanted(quantity=120, ready_by=IN_THREE_YEARS, **more) -> Target:
    facts = {"plant": more.pop("plant", None) or PlantFactory(), "container": container("#1")}
    facts |= {"quantity": quantity, "ready_by": ready_by, "request_id": uuid4()}
    return operations.add_target(**facts | more)


def sent(target=None, **more):
    plant = target.plant if target else PlantFactory()
    facts = {"plant": plant.pk, "quantity": 120, "container": container("#1").pk}
    facts |= {"when": IN_THREE_YEARS.isoformat(), "assurance": 90, "request_id": uuid4()}
    return facts | more


def test_a_target_is_said_and_undone_on_the_next_page(client):
    NurseryFactory()
    answer = as_grower(client).post(page("target-add"), sent(), follow=True)

    assert f"by spring {IN_THREE_YEARS.year}" in answer.text and "cuttings to stick" in answer.text
    assert "common practice" in answer.text, "nothing of one's own yet"
    answer = client.post(answer.context["undo"]["url"], follow=True)
    assert "no longer wanted" in answer.text and not targets().exists()


def test_a_change_is_taken_back_by_its_undo(client):
    NurseryFactory()
    target = wanted(note="for the fair")
    data = sent(target, when="day", day="2031-06-08", quantity=80)
    answer = as_grower(client).post(page("target-edit", target.pk), data, follow=True)

    target.refresh_from_db()
    assert (target.quantity, target.ready_by, target.note) == (80, date(2031, 6, 8), "")
    client.post(answer.context["undo"]["url"])
    target.refresh_from_db()
    assert (target.quantity, target.ready_by, target.note) == (120, IN_THREE_YEARS, "for the fair")
    assert client.post(page("target-change-back", target.pk, "forged")).status_code == 404


def test_another_day_has_to_be_named(client):
    answer = as_grower(client).post(page("target-add"), sent(when="day"))

    assert "Enter the day by which they are to be ready." in answer.text
    assert not Target.objects.exists()


def test_who_may_not_change_the_lists_only_looks(client):
    target = wanted()
    client.force_login(UserFactory())

    assert client.post(page("target-add"), sent()).status_code == 403
    assert client.post(page("target-remove", target.pk)).status_code == 403
    shown = client.get(reverse("sales:target", args=[target.pk]))
    assert shown.status_code == 200 and "No longer wanted" not in shown.text


def test_the_list_names_what_to_stick_next_and_comes_as_a_file(
    client, django_assert_max_num_queries
):
    for quantity in (60, 120, 30):
        wanted(quantity)
    with django_assert_max_num_queries(32):
        shown = as_grower(client).get(page("target-list"))

    assert "to stick" in shown.text and "in the week of" in shown.text
    rows = client.get(page("target-list") + "?_export=csv").text.splitlines()
    assert rows[0].lstrip("\ufeff").startswith("Plant,Wanted,In,By,Sure already,Still to stick")
    assert len(rows) == 4 and IN_THREE_YEARS.isoformat() in rows[1]


def test_what_is_stuck_from_a_target_grows_towards_it(client):
    plant = PlantFactory()
    ready_by = TODAY + timedelta(days=700)
    target = wanted(40, ready_by, plant=plant)
    (plan,) = Planner(TODAY).plans([target])
    stick = f"{page('begin', 'stick')}?plant={plant.pk}&quantity={plan.answer.to_stick}"
    shown = as_grower(client).get(stick, follow=True)

    assert shown.context["form"]["quantity"].value() == str(plan.answer.to_stick)
    lot_holding(plan.answer.to_stick, size="tray", plant=plant, on=TODAY)
    assert Planner(TODAY).plan(target).is_met
    assert "Nothing to stick" in client.get(page("target-list")).text


def test_ones_own_record_is_added_to_what_is_expected():
    plant = PlantFactory()
    expect_loss(stage="rooting", percent=Decimal(20), plant=plant)
    before = Planner(TODAY).chances.of(plant.pk, "rooting")
    lot = lot_holding(60, size="tray", plant=plant)
    operations.root_count(lot=lot, alive=57, on=lot.began_on, request_id=uuid4())
    after = Planner(TODAY).chances.of(plant.pk, "rooting")

    assert before.percent_lost == pytest.approx(20) and before.words == "20% you expect"
    # By hand: 8 of the 40 thought beforehand and 3 of 60 counted are 11 of 100.
    assert after.percent_lost == pytest.approx(11)
    assert after.words == "your record, 3 of 60 lost, and 20% you expect"


def test_what_is_promised_to_a_buyer_grows_towards_no_target():
    lot = lot_holding(50, on=TODAY - timedelta(days=300))
    sales_operations.hold(
        buyer=BuyerFactory(),
        wanted=[sales_operations.Wanted(lot.plant, lot.container, 20)],
        on=TODAY,
        until=TODAY + timedelta(days=9),
        request_id=uuid4(),
    )

    (row,) = Planner(TODAY).standing[lot.plant_id]
    assert row.plants == 30


def test_what_if_is_worked_out_and_not_saved(client):
    target = wanted()
    address = reverse("sales:target", args=[target.pk])
    plain, harder = (
        as_grower(client).get(address + asked).context["answer"].to_stick
        for asked in ("", "?through=40&price=12")
    )

    assert harder > plain > 120
    shown = client.get(address + "?through=40&price=12").text
    assert "Nothing is saved" in shown and "40% come through" in shown


def test_the_day_to_stick_is_that_of_the_plants_method_until_it_was_potted():
    plant = PlantFactory()
    method = Method.objects.create(name="Yew in winter", wood="hardwood", plant=plant)
    days = {"first_month": 11, "first_day": 9, "last_month": 12, "last_day": 20}
    step = {"position": 1, "work": "stick", "name": "Stick", "timing": "calendar"}
    MethodStep.objects.create(method=method, **step, **days)
    plan = Planner(TODAY).plan(wanted(plant=plant))
    another = Planner(TODAY).plan(wanted())

    assert abs(plan.answer.stick_on - date(plan.answer.stick_on.year, 11, 9)) <= timedelta(days=1)
    assert another.answer.stick_on.month == 6, "softwood, as is common practice"
    assert "its method" in plan.origin and "common practice" in another.origin


def test_the_week_to_stick_in_stands_in_the_calendar():
    target = wanted()
    (plan,) = Planner(TODAY).plans([target])
    (event,) = [one for one in coming_events(TODAY) if one.key == f"target-{target.pk}"]

    assert event.title == f"Stick about {plan.answer.to_stick} {target.plant}"
    assert event.first == plan.week and event.first.weekday() == 0
    assert (event.last - event.first).days == 6


def test_what_no_number_of_cuttings_gives_is_said_to_be_out_of_reach(client):
    target = wanted(9_000_000)

    shown = as_grower(client).get(reverse("sales:target", args=[target.pk]))
    assert "Out of reach" in shown.text and "What it takes" not in shown.text
    assert "too few come through" in client.get(page("target-list")).text
