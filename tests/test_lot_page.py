"""The page of a lot."""

from xml.etree import ElementTree

import pytest
from django.urls import reverse

from inventory.models import Batch, Lot, Operation
from tests.entering import as_grower
from tests.factories import NurseryFactory, UserFactory, lot_holding
from tests.growing_scenes import lose, potted_lot, undo

pytestmark = pytest.mark.django_db


@pytest.fixture
def grower(client):
    NurseryFactory()
    return as_grower(client)


def page_of(client, lot, name="lot"):
    return client.get(reverse(f"inventory:{name}", args=[lot.pk]))


def test_a_lot_asks_for_a_login(client):
    UserFactory()
    lot = lot_holding(3)

    answer = page_of(client, lot)

    assert answer.status_code == 302
    assert answer.url.startswith("/accounts/login/")


def test_a_lot_that_is_not_there_is_not_found(grower):
    assert grower.get(reverse("inventory:lot", args=[999])).status_code == 404


def test_a_lot_says_what_it_holds_and_what_one_plant_cost(grower):
    text = page_of(grower, potted_lot()).content.decode()

    assert '<span class="amount">30</span>' in text
    assert '<span class="amount">$2.36</span>' in text
    assert "South bed" in text
    assert '<i lang="la">media</i>' in text


def test_a_lot_tells_its_story_and_links_the_lots_before(grower):
    lot = potted_lot()
    tray = Lot.objects.get(code="TXH-24A")

    text = page_of(grower, lot).content.decode()

    assert text.index("Stuck 100 cuttings") < text.index("Potted up 40") < text.index("Wrote off 4")
    assert f'href="{reverse("inventory:lot", args=[tray.pk])}"' in text
    assert "0.625 each" in text
    assert "100%" in text, "the batch's share"


def test_an_undone_entry_is_marked(grower):
    lot = potted_lot()
    undo(lose(lot, 9))

    text = page_of(grower, lot).content.decode()

    assert "<s>Wrote off 9, lost to winter</s>" in text


@pytest.mark.parametrize(
    ("size", "verb", "page"),
    [("tray", "Count the rooted", "root-count"), ("#1", "Write off", "write-off")],
)
def test_a_lot_offers_what_suits_its_stage(grower, size, verb, page):
    lot = lot_holding(30, "A", size=size)

    text = page_of(grower, lot).content.decode()

    assert verb in text
    arguments = [] if page == "write-off" else [lot.pk]
    assert reverse(f"inventory:{page}", args=arguments) in text


def test_an_empty_lot_offers_nothing_that_needs_plants(grower):
    lot = lot_holding(3)
    lose(lot, 3)

    text = page_of(grower, lot).content.decode()

    assert reverse("inventory:pot-up", args=[lot.pk]) not in text
    assert reverse("sales:sell") + "?" not in text


@pytest.mark.parametrize("name", ["lot-chart", "lot-life-chart"])
@pytest.mark.parametrize("query", [{}, {"narrow": "1"}])
def test_the_pictures_of_a_lot_are_drawn(grower, name, query):
    lot = potted_lot()

    answer = grower.get(reverse(f"inventory:{name}", args=[lot.pk]), query)

    assert answer["Content-Type"] == "image/svg+xml"
    assert ElementTree.fromstring(answer.content).tag.endswith("svg")


@pytest.mark.parametrize("name", ["lot-chart", "lot-life-chart"])
def test_an_empty_lot_still_has_pictures(grower, name):
    lot = lot_holding(3)
    lose(lot, 3)

    assert page_of(grower, lot, name).status_code == 200


def test_a_lot_and_a_batch_whose_beginning_was_undone_have_pictures_of_nothing(grower):
    lot = lot_holding(3)
    undo(Operation.objects.get())
    life = reverse("inventory:batch-chart", args=[Batch.objects.get().pk])

    assert page_of(grower, lot, "lot-life-chart").status_code == 200
    assert grower.get(life, {"by": "life"}).status_code == 200


def test_a_picture_has_another_address_after_each_change(grower):
    lot = potted_lot()
    before = page_of(grower, lot).context["life_picture"]["source"]

    lose(lot, 1)

    assert page_of(grower, lot).context["life_picture"]["source"] != before


def test_a_lot_needs_as_many_queries_for_a_long_life_as_for_a_short(
    grower, django_assert_max_num_queries
):
    lot = potted_lot()
    for _ in range(6):
        lose(lot, 1)

    with django_assert_max_num_queries(23):
        page_of(grower, lot)
