"""Pot up: the verb, and its page."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import IntegrityError, connection, transaction
from django.urls import reverse

from inventory import operations
from inventory.errors import LotMismatch, NotEnoughPlants
from inventory.models import LossCause, Lot, LotBalance, Movement, Operation
from tests.entering import MAY_DAY, as_grower, kept_figures, opened, page, sent, undo_last
from tests.factories import PlaceFactory, UserFactory, cause, container, lot_holding, sell_from

pytestmark = pytest.mark.django_db


def rooted(quantity=52, code="THS-24A", **costs):
    """Return a lot of rooted cuttings in a tray that cost 3.18 each unless told."""
    return lot_holding(quantity, code, size="tray", **(costs or {"labour": "165.36"}))


def pot_up(lot, quantity, **more):
    """Pot up into #1."""
    what = {"to_lot": "THS-24A-1", "container": container("#1"), "on": MAY_DAY}
    return operations.pot_up(
        lot=lot, quantity=quantity, request_id=more.pop("request_id", uuid4()), **what | more
    )


def potted(quantity=40, **more):
    """Return what the page would send."""
    return sent(quantity=quantity, container=container("#1").pk, **more)


def test_potting_up_a_part_takes_its_share_of_the_cost():
    lot = rooted()

    pot_up(lot, 40, costs={"medium": Decimal("34.80")})

    potted, stay = Lot.objects.get(code="THS-24A-1").balance, LotBalance.objects.get(lot=lot)
    assert (potted.on_hand, potted.cost) == (40, Decimal("162.00"))
    assert (stay.on_hand, stay.cost) == (12, Decimal("38.16"))


def test_losses_on_the_way_are_carried_by_those_that_live():
    lot = rooted()

    pot_up(lot, 40, lost=12, cause=cause("winter"))

    assert Lot.objects.get(code="THS-24A-1").balance.cost == Decimal("165.36")
    assert LotBalance.objects.get(lot=lot).on_hand == 0


def test_more_than_the_lot_holds_is_refused_and_no_empty_lot_left():
    with pytest.raises(NotEnoughPlants, match="held 52 on 2025-05-01; 53 cannot be taken"):
        pot_up(rooted(), 53)

    assert Lot.objects.count() == 1


def test_a_lot_of_another_container_is_refused():
    lot_holding(5, "L1", size="#3", plant=(lot := rooted()).plant)

    with pytest.raises(LotMismatch, match="stands in #3, not #1"):
        pot_up(lot, 4, to_lot="L1")


def test_pressed_twice_writes_once():
    lot, request_id = rooted(), uuid4()

    assert pot_up(lot, 40, request_id=request_id) == pot_up(lot, 40, request_id=request_id)
    assert LotBalance.objects.get(lot=lot).on_hand == 12


def test_the_database_refuses_less_than_no_plants_and_any_change():
    lot = rooted()
    pot_up(lot, 40)

    with pytest.raises(IntegrityError), transaction.atomic():
        LotBalance.objects.filter(lot=lot).update(on_hand=-1)
    with pytest.raises(Exception, match="only grows"), transaction.atomic():
        Movement.objects.filter(from_lot=lot).update(quantity=1)
    with pytest.raises(Exception, match="only grows"), transaction.atomic():
        connection.cursor().execute("DELETE FROM inventory_operation")


def test_the_page_pots_up_and_names_the_lot_for_its_container(client):
    lot, place = rooted(), PlaceFactory(name="South bed")

    answer = as_grower(client).post(
        page("pot-up", lot.pk),
        potted(place=place.pk, lost=2, cause=cause("pest").pk, cost_medium="34.80"),
    )

    new = Lot.objects.select_related("balance").get(code="THS-24A-1")
    assert answer.url == page("lot", new.pk)
    assert (new.balance.on_hand, new.balance.place) == (40, place)
    assert LotBalance.objects.get(lot=lot).on_hand == 10
    assert Movement.objects.get(kind="lost").cause == cause("pest")


def test_the_sentence_is_the_one_a_grower_would_say(client):
    lot = rooted()

    answer = as_grower(client).post(
        page("pot-up", lot.pk),
        potted(cost_medium="34.80", preview="1"),
        headers={"HX-Request": "true"},
    )

    text = answer.content.decode()
    assert "40 of 52 into #1, lot THS-24A-1. 12 stay." in text
    assert "$3.18 each so far, about $4.05 after potting." in text
    assert "Pot up 40" in text and Operation.objects.count() == 1


def test_the_sentence_comes_true(client):
    # 100.01 over 7 plants is no round number: the sentence must still be what is written.
    lot = rooted(7, labour="100.01")
    form = potted(3, lost=2, cost_medium="1.00")

    sentence = as_grower(client).post(page("pot-up", lot.pk), form | {"preview": "1"})
    client.post(page("pot-up", lot.pk), form)

    each = LotBalance.objects.get(lot__code="THS-24A-1").cost / 3
    assert round(each, 2) == Decimal("20.34")
    assert "about $20.34 after potting" in sentence.content.decode()


def test_the_sentence_speaks_of_a_standing_lot(client):
    lot = rooted()
    pot_up(lot, 10)

    answer = as_grower(client).post(
        page("pot-up", lot.pk), potted(20, to_lot="THS-24A-1", preview="1")
    )

    assert "They join 10 in lot THS-24A-1: about $3.18 each there." in answer.content.decode()


def test_without_a_script_the_check_button_answers_with_the_whole_page(client):
    lot = rooted()

    answer = as_grower(client).post(page("pot-up", lot.pk), potted(preview="1"))

    assert "<html" in answer.content.decode() and "12 stay" in answer.content.decode()


def test_looking_ahead_says_what_cannot_be(client):
    lot = rooted()

    answer = as_grower(client).post(page("pot-up", lot.pk), potted(60, preview="1"))

    assert "held 52 on 01 May 2025; 60 cannot be taken" in answer.content.decode()


def test_a_refusal_keeps_what_was_typed(client):
    lot = rooted()

    answer = as_grower(client).post(page("pot-up", lot.pk), potted(60, note="cold wind"))

    assert answer.status_code == 200
    assert "60 cannot be taken" in answer.context["form"].errors["quantity"][0]
    assert "cold wind" in answer.content.decode()
    assert Operation.objects.count() == 1


def test_a_day_before_the_lot_began_is_refused(client):
    lot = rooted()

    answer = as_grower(client).post(page("pot-up", lot.pk), potted(on="2024-01-01"))

    assert "began on 10 April 2025" in answer.context["form"].errors["on"][0]


def test_pressed_twice_the_page_writes_once(client):
    lot, form = rooted(), potted()

    answers = [as_grower(client).post(page("pot-up", lot.pk), form) for _ in range(2)]

    assert answers[0].url == answers[1].url
    assert LotBalance.objects.get(lot=lot).on_hand == 12
    assert Lot.objects.count() == 2


def test_undo_restores_every_figure(client):
    lot = rooted()
    before = kept_figures()

    as_grower(client).post(page("pot-up", lot.pk), potted(lost=3, cost_medium="10.00"))
    answer = undo_last(client)

    assert kept_figures() == before
    assert "Undone: potted up" in answer.content.decode()


def test_undo_pressed_twice_undoes_once(client):
    lot = rooted()
    as_grower(client).post(page("pot-up", lot.pk), potted())
    operation = Operation.objects.latest("pk")

    for _ in range(2):
        assert client.post(page("undo", operation.pk)).status_code == 302

    assert Operation.objects.filter(reverses=operation).count() == 1


def test_what_later_sales_rest_on_is_not_undone(client):
    lot = rooted()
    pot_up(lot, 40)
    operation = Operation.objects.latest("pk")
    sell_from(Lot.objects.get(code="THS-24A-1"), 5, on=MAY_DAY)

    answer = as_grower(client).post(page("undo", operation.pk), follow=True)

    assert "Undo what came later first" in answer.content.decode()
    assert LotBalance.objects.get(lot=lot).on_hand == 12


def test_a_sale_is_undone_on_its_document_and_not_here(client):
    sell_from(lot_holding(9), 4)
    sale = Operation.objects.get(kind="sale")

    answer = as_grower(client).post(page("undo", sale.pk), follow=True)

    assert "undone on its invoice or receipt" in answer.content.decode()
    assert reverse("sales:document-list") in answer.content.decode()
    assert not Operation.objects.filter(reverses=sale).exists()


def test_a_backdated_entry_says_how_many_sales_changed(client):
    lot = lot_holding(40, medium="40.00")
    for day in range(1, 11):
        sell_from(lot, 1, on=date(2025, 5, day))

    answer = as_grower(client).post(
        page("add-cost", lot.pk),
        sent(date(2025, 4, 20), amount="10.00", category="feed"),
        follow=True,
    )

    assert "10 later sales got their new cost." in answer.content.decode()


def test_overruling_needs_a_reason_and_keeps_it(client):
    lot = rooted()
    form = potted(lost=2, cause=cause("damage").pk, treatment="abnormal")

    answer = as_grower(client).post(page("pot-up", lot.pk), form)
    assert "say why" in answer.context["form"].errors["reason"][0]

    client.post(page("pot-up", lot.pk), form | {"reason": "dropped the crate"})
    assert Movement.objects.get(cause=LossCause.objects.get(code="damage")).kind == "lost_abnormal"
    assert Operation.objects.latest("pk").note == "dropped the crate"


def test_the_page_shows_the_lot_and_proposes_the_next_size(client):
    lot = rooted()

    answer = as_grower(client).get(page("pot-up", lot.pk), follow=True)

    text = answer.content.decode()
    assert "52 in tray" in text and "3.18" in text
    assert answer.context["form"]["container"].initial.position > lot.container.position


def test_the_page_asks_for_a_login_and_for_leave(client):
    lot = rooted()
    assert client.get(page("pot-up", lot.pk)).status_code == 302

    client.force_login(UserFactory())
    assert client.post(page("pot-up", lot.pk), potted()).status_code == 403


def test_undo_asks_for_a_press(client):
    rooted()

    assert as_grower(client).get(page("undo", Operation.objects.get().pk)).status_code == 405


def test_the_form_asks_few_questions_of_the_database(client, django_assert_max_num_queries):
    lot = rooted()
    for number in range(10):
        lot_holding(5, f"L{number}", plant=lot.plant)
    as_grower(client)

    with django_assert_max_num_queries(21):
        client.get(opened(page("pot-up", lot.pk)))


def test_a_backdated_potting_into_a_standing_lot_counts_its_sales_too(client):
    lot = rooted()
    pot_up(lot, 10, on=date(2025, 4, 12))
    sell_from(Lot.objects.get(code="THS-24A-1"), 2, on=date(2025, 6, 1))

    answer = as_grower(client).post(
        page("pot-up", lot.pk),
        potted(4, to_lot="THS-24A-1", cost_medium="40.00"),
        follow=True,
    )

    assert "1 later sale got its new cost." in answer.content.decode()


def test_in_the_largest_pot_the_same_size_is_offered(client):
    lot = lot_holding(5, size="#3")

    form = as_grower(client).get(page("pot-up", lot.pk), follow=True).context["form"]

    assert form["container"].initial == container("#3")
