"""Where plants begin: the verb with names, and its page."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from inventory.errors import LedgerError
from inventory.models import Batch, Lot, Operation, Place, Plant, StockPlant
from inventory.operations.catalogue import begin_named
from tests.entering import as_grower, kept_figures, opened, page, sent, undo_last
from tests.factories import PlaceFactory, PlantFactory, UserFactory, container, lot_holding

pytestmark = pytest.mark.django_db
DAY = date(2026, 5, 20)


def stick(**more):
    """Stick 120 cuttings."""
    what = {
        "kind": "stick",
        "plant": "Thuja occidentalis 'Smaragd'",
        "batch": "TOS-26A",
        "lot": "TOS-26A",
        "container": container("tray"),
        "quantity": 120,
        "on": DAY,
        "request_id": uuid4(),
    }
    return begin_named(**what | more)


def stuck(**more):
    """Return what the page of the cuttings would send."""
    what = {
        "plant": "Thuja occidentalis 'Smaragd'",
        "quantity": 120,
        "container": container("tray").pk,
    }
    return sent(DAY, **what | more)


def test_a_new_name_makes_the_plant_and_a_known_one_in_another_spelling_does_not():
    stick(plant="Ilex x meserveae cv. Blue Maid")
    stick(plant="ilex meserveae 'Blue Maid'", batch="B2", lot="B2")

    assert [plant.name for plant in Plant.objects.all()] == ["Ilex ×meserveae 'Blue Maid'"]


def test_where_the_batch_is_refused_no_plant_and_no_place_stays_behind():
    with pytest.raises(LedgerError, match="at least one plant"):
        stick(quantity=0, new_place="Mist bench")

    assert not Plant.objects.exists() and not Place.objects.exists()


def test_sticking_twice_with_one_request_writes_once():
    request_id = uuid4()

    first, second = stick(request_id=request_id), stick(request_id=request_id, quantity=7)

    assert first == second
    assert Lot.objects.get().balance.on_hand == 120


def test_the_page_sticks_and_proposes_the_codes(client):
    place = PlaceFactory(name="Mist tent")

    answer = as_grower(client).post(
        page("begin", "stick"),
        stuck(place=place.pk, cost_cuttings="6.00", cost_feed="1.20", treatment="IBA powder"),
    )

    lot = Lot.objects.select_related("balance").get()
    assert answer.url == page("lot", lot.pk)
    assert (lot.code, lot.balance.on_hand, lot.balance.place) == ("TOS-26A", 120, place)
    assert lot.balance.cost == Decimal("7.20")
    assert Batch.objects.get().treatment == "IBA powder"


def test_the_next_batch_of_the_plant_gets_the_next_letter(client):
    as_grower(client).post(page("begin", "stick"), stuck())
    client.post(page("begin", "stick"), stuck())

    assert set(Batch.objects.values_list("code", flat=True)) == {"TOS-26A", "TOS-26B"}


def test_pressed_twice_the_page_writes_once(client):
    form = stuck()

    answers = [as_grower(client).post(page("begin", "stick"), form) for _ in range(2)]

    assert Operation.objects.count() == 1
    assert answers[0].url == answers[1].url


def test_undo_restores_every_figure(client):
    lot_holding(10, "L1", feed="3.00")
    before = kept_figures()

    as_grower(client).post(page("begin", "stick"), stuck(cost_feed="2.00"))
    assert kept_figures() != before
    undo_last(client)

    assert kept_figures() == before


def test_the_page_says_what_will_be_true_and_writes_nothing(client):
    answer = as_grower(client).post(
        page("begin", "stick"),
        stuck(cost_cuttings="6.00", preview="1"),
        headers={"HX-Request": "true"},
    )

    text = answer.content.decode()
    assert "120 in tray: batch TOS-26A, lot TOS-26A. $0.05 each so far." in text
    assert "Stick 120" in text and "<html" not in text
    assert not Operation.objects.exists() and not Plant.objects.exists()


def test_a_name_against_the_rules_is_asked_about_once_and_kept_by_a_tick(client):
    # ICNCP 2016: from 1996 on, 30 characters without spaces at most.
    name = "Buxus 'Wondrously Long Winded Garden Treasure'"

    answer = as_grower(client).post(page("begin", "stick"), stuck(plant=name))

    text = answer.content.decode()
    assert answer.status_code == 200 and "may have 30" in text
    assert "Wondrously Long Winded" in text and not Plant.objects.exists()

    client.post(page("begin", "stick"), stuck(plant=name, keep_name="on"))
    assert Plant.objects.get().name == name


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"quantity": -4}, "greater than or equal to 1"),
        ({"quantity": "many"}, "whole number of plants"),
        ({"on": "2999-01-01"}, "has not come yet"),
        ({"container": 999}, "not one of the available choices"),
        ({"plant": ""}, "required"),
    ],
)
def test_what_cannot_be_is_refused_with_what_was_typed_kept(client, wrong, words):
    answer = as_grower(client).post(page("begin", "stick"), stuck(note="under glass", **wrong))

    assert answer.status_code == 200
    assert words in answer.content.decode() and "under glass" in answer.content.decode()
    assert not Operation.objects.exists() and not Plant.objects.exists()


def test_a_code_of_another_plant_is_refused_at_its_field(client):
    lot_holding(5, "L1", size="tray")

    answer = as_grower(client).post(page("begin", "stick"), stuck(lot_code="L1"))

    assert "Choose another lot code" in answer.context["form"].errors["lot_code"][0]
    assert Operation.objects.count() == 1


def test_a_stock_plant_of_another_kind_is_refused(client):
    mother = StockPlant.objects.create(code="Row 1", plant=PlantFactory())

    answer = as_grower(client).post(page("begin", "stick"), stuck(stock_plant=mother.pk))

    assert "Row 1 is" in answer.context["form"].errors["stock_plant"][0]


def test_a_protected_plant_brings_its_caution(client):
    PlantFactory(name="Hydrangea 'Mossy Lantern'", propagation_right="PP99999, no licence")

    answer = as_grower(client).post(
        page("begin", "stick"), stuck(plant="Hydrangea 'Mossy Lantern'", preview="1")
    )

    assert "Propagating it needs its owner" in answer.content.decode()


def test_the_treatment_says_that_the_label_is_the_law(client):
    assert "the product's label" in as_grower(client).get(
        opened(page("begin", "stick"))
    ).content.decode().replace("&#x27;", "'")


@pytest.mark.parametrize("kind", ["stick", "sow", "divide", "receive", "opening"])
def test_every_kind_of_beginning_has_its_page(client, kind):
    answer = as_grower(client).post(page("begin", kind), stuck())

    assert answer.status_code == 302
    assert Batch.objects.get().kind == kind


def test_opening_stock_in_a_pot_is_named_for_its_container(client):
    as_grower(client).post(page("begin", "opening"), stuck(container=container("#3").pk))

    assert Lot.objects.get().code == "TOS-26A-3"


def test_an_unknown_beginning_is_not_found(client):
    assert as_grower(client).get("/begin/conjure/").status_code == 404


def test_the_page_asks_for_a_login_and_for_leave(client):
    assert client.get(page("begin", "stick")).status_code == 302

    client.force_login(UserFactory())
    assert client.post(page("begin", "stick"), stuck()).status_code == 403
    assert not Operation.objects.exists()


def test_the_form_asks_few_questions_of_the_database(client, django_assert_max_num_queries):
    for number in range(12):
        lot_holding(5, f"L{number}")
    as_grower(client)

    with django_assert_max_num_queries(16):
        client.get(opened(page("begin", "stick")))


def test_the_page_of_a_plant_sends_its_name_along(client):
    plant = PlantFactory(name="Buxus 'Green Velvet'")

    answer = as_grower(client).get(page("begin", "stick"), {"plant": plant.pk}, follow=True)

    assert "Buxus &#x27;Green Velvet&#x27;" in answer.content.decode()
    assert answer.context["form"]["plant"].value() == plant.name


def test_the_first_place_is_named_on_the_page_itself(client):
    answer = as_grower(client).get(page("begin", "stick"), follow=True)
    assert [field.name for field in answer.context["form"].main_fields()][3] == "new_place"

    client.post(page("begin", "stick"), stuck(new_place="Mist tent"))

    assert Lot.objects.get().balance.place == Place.objects.get(name="Mist tent")


def test_the_place_of_the_last_sticking_is_offered(client):
    mist, bed = PlaceFactory(name="Mist tent"), PlaceFactory(name="South bed")
    stick(place=mist)
    stick(kind="opening", plant="Ilex", batch="I", lot="I-1", container=container("#1"), place=bed)

    form = as_grower(client).get(page("begin", "stick"), follow=True).context["form"]

    assert form["place"].initial == mist
