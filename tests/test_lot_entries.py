"""The pages for one lot: rooted count, count, move, blend, use, give, cost."""

from decimal import Decimal

import pytest

from inventory.models import Lot, LotBalance, Movement, Operation
from tests.entering import as_grower, kept_figures, opened, page, sent, undo_last
from tests.factories import PlaceFactory, PlantFactory, UserFactory, cause, lot_holding

pytestmark = pytest.mark.django_db


def on_hand(code="L1"):
    return LotBalance.objects.get(lot__code=code).on_hand


def looked_ahead(client, address, **fields):
    """Return what the page says will be true."""
    answer = client.post(address, sent(**fields, preview="1"), headers={"HX-Request": "true"})
    return answer.content.decode()


def every_entry(lot, other, place):
    """Return (page, arguments, what is typed) of every entry of one lot."""
    return [
        ("root-count", [lot.pk], {"alive": 18, "cause": cause("not rooted").pk}),
        ("count", [lot.pk], {"found": 17, "cause": cause("count").pk}),
        ("count", [lot.pk], {"found": 23, "cause": cause("count").pk}),
        ("move", [lot.pk], {"quantity": 5, "place": place.pk}),
        ("move", [lot.pk], {"quantity": 20, "place": place.pk}),
        ("blend", [lot.pk], {"to_lot": other.pk}),
        ("take-out", [lot.pk, "use"], {"quantity": 2}),
        ("take-out", [lot.pk, "give"], {"quantity": 20}),
        ("add-cost", [lot.pk], {"amount": "12.50", "category": "labour"}),
    ]


ENTRIES = range(9)


@pytest.fixture
def scene():
    """Return two lots that are alike, and a place."""
    plant = PlantFactory(name="Thuja 'Green Giant'")
    lot = lot_holding(20, "L1", size="tray", plant=plant, cuttings="10.00", labour="13.33")
    other = lot_holding(30, "L2", size="tray", plant=plant, cuttings="9.00")
    return lot, other, PlaceFactory(name="South bed")


@pytest.mark.parametrize("number", ENTRIES)
def test_undo_restores_every_figure(client, scene, number):
    name, arguments, typed = every_entry(*scene)[number]
    before = kept_figures()

    answer = as_grower(client).post(page(name, *arguments), sent(**typed))
    assert answer.status_code == 302
    assert kept_figures() != before
    undo_last(client)

    assert kept_figures() == before


@pytest.mark.parametrize("number", ENTRIES)
def test_pressed_twice_writes_once(client, scene, number):
    name, arguments, typed = every_entry(*scene)[number]
    form = sent(**typed)

    answers = [as_grower(client).post(page(name, *arguments), form) for _ in range(2)]

    assert [answer.status_code for answer in answers] == [302, 302]
    assert answers[0].url == answers[1].url
    assert Operation.objects.count() == 3


@pytest.mark.parametrize("number", ENTRIES)
def test_each_page_asks_for_a_login_and_for_leave(client, scene, number):
    name, arguments, typed = every_entry(*scene)[number]
    address = page(name, *arguments)
    assert client.get(address).status_code == 302

    client.force_login(UserFactory())
    assert client.post(address, sent(**typed)).status_code == 403
    assert Operation.objects.count() == 2


@pytest.mark.parametrize("number", ENTRIES)
def test_each_page_looks_ahead_and_writes_nothing(client, scene, number):
    name, arguments, typed = every_entry(*scene)[number]

    text = looked_ahead(as_grower(client), page(name, *arguments), **typed)

    assert '<p class="sentence" aria-live="polite">' in text
    assert Operation.objects.count() == 2


@pytest.mark.parametrize("number", ENTRIES)
def test_each_page_shows_its_lot_with_few_questions(
    client, scene, number, django_assert_max_num_queries
):
    name, arguments, _ = every_entry(*scene)[number]
    as_grower(client)

    with django_assert_max_num_queries(18):
        text = client.get(opened(page(name, *arguments))).content.decode()

    assert "20 in tray" in text and "Green Giant" in text


def test_a_rooted_count_says_the_strike(client, scene):
    text = looked_ahead(
        as_grower(client), page("root-count", scene[0].pk), alive=18, cause=cause("not rooted").pk
    )

    assert "18 of 20 rooted, 90% of those still there." in text
    assert "2 lost, as expected: the others carry their cost." in text


def test_more_rooted_than_were_stuck_is_refused_with_the_number_kept(client, scene):
    answer = as_grower(client).post(page("root-count", scene[0].pk), sent(alive=21))

    assert "held 20" in answer.content.decode() and 'value="21"' in answer.content.decode()
    assert Operation.objects.count() == 2


def test_a_negative_count_is_refused(client, scene):
    answer = as_grower(client).post(page("count", scene[0].pk), sent(found=-1))

    assert "greater than or equal to 0" in answer.context["form"].errors["found"][0]


def test_a_count_that_finds_more_says_so(client, scene):
    text = looked_ahead(
        as_grower(client), page("count", scene[0].pk), found=23, cause=cause("count").pk
    )

    assert "3 more, at no cost of their own" in text


def test_a_part_that_moves_becomes_a_lot_of_its_own(client, scene):
    lot, _, place = scene

    as_grower(client).post(page("move", lot.pk), sent(quantity=5, place=place.pk))

    part = Lot.objects.get(code="L1-tray")
    assert (part.balance.on_hand, part.balance.place) == (5, place)
    assert on_hand() == 15


def test_all_that_moves_stays_the_same_lot(client, scene):
    lot, _, place = scene

    as_grower(client).post(page("move", lot.pk), sent(place=place.pk))

    assert LotBalance.objects.get(lot=lot).place == place
    assert not Movement.objects.filter(kind="moved").exists()


def test_blending_offers_only_lots_that_are_alike(client, scene):
    lot_holding(9, "L3", size="#1", plant=scene[0].plant)
    lot_holding(9, "L4", size="tray")

    offered = (
        as_grower(client).get(page("blend", scene[0].pk), follow=True).context["form"]["to_lot"]
    )

    assert [value for value, _ in offered.field.choices] == [scene[1].pk]


def test_a_lot_without_its_like_says_so(client):
    text = as_grower(client).get(page("blend", lot_holding(5).pk), follow=True).content.decode()

    assert "Only plants that are alike can be one lot" in text


def test_using_more_than_there_are_is_refused(client, scene):
    answer = as_grower(client).post(page("take-out", scene[0].pk, "use"), sent(quantity=21))

    assert "21 cannot be taken" in answer.context["form"].errors["quantity"][0]
    assert on_hand() == 20


def test_a_cost_joins_the_lot_in_its_category(client, scene):
    as_grower(client).post(
        page("add-cost", scene[0].pk), sent(amount="0.005", category="feed"), follow=True
    )

    assert LotBalance.objects.get(lot=scene[0]).cost_feed == Decimal("0.005")


@pytest.mark.parametrize("amount", ["0", "-5", "much", ""])
def test_no_cost_is_no_entry(client, scene, amount):
    form = sent(amount=amount, category="feed")

    answer = as_grower(client).post(page("add-cost", scene[0].pk), form)

    assert answer.status_code == 200 and answer.context["form"].errors["amount"]
    assert Operation.objects.count() == 2


def test_a_cost_before_the_lot_began_is_refused(client, scene):
    form = sent(on="2025-01-01", amount="5", category="feed")

    answer = as_grower(client).post(page("add-cost", scene[0].pk), form)

    assert "began on 10 April 2025" in answer.context["form"].errors["on"][0]


def test_a_lot_that_is_not_there_is_not_found(client):
    assert as_grower(client).get(page("count", 4711)).status_code == 404
    assert client.get(page("take-out", lot_holding(3).pk, "eat")).status_code == 404
