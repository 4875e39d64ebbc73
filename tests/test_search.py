"""Search: what a person remembers finds the page."""

import pytest
from django.urls import reverse

from tests.entering import as_grower
from tests.factories import NurseryFactory, PlantFactory, lot_holding

pytestmark = pytest.mark.django_db


@pytest.fixture
def grower(client):
    NurseryFactory()
    return as_grower(client)


def search(client, text):
    return client.get(reverse("inventory:search"), {"q": text})


@pytest.mark.parametrize(
    "text",
    ["Taxus ×media", "taxus x media", "TAXUS MEDIA HICKSII", "‘hicksii’", "yew", "hicks taxus"],
)
def test_one_plant_that_answers_is_opened(grower, text):
    # ICN Art. H.3.3: the × is disregarded where names are compared.
    plant = PlantFactory(name="Taxus ×media 'Hicksii'", common_name="Hicks yew")
    PlantFactory(name="Buxus 'Green Velvet'")

    answer = search(grower, text if text != "hicks taxus" else "hicksii taxus")

    assert answer.url == reverse("inventory:plant", args=[plant.pk])


def test_a_whole_lot_code_opens_the_lot_though_others_begin_so(grower):
    lot = lot_holding(3, "BGV-1")
    lot_holding(3, "BGV-12")

    assert search(grower, " bgv-1 ").url == reverse("inventory:lot", args=[lot.pk])


def test_several_hits_are_listed(grower):
    lot_holding(3, "BGV-1", batch="BGV")
    lot_holding(4, "BGV-2", batch="BGX")

    found = search(grower, "bg").context["found"]

    assert [lot.code for lot in found.lots] == ["BGV-2", "BGV-1"], "the fullest first"
    assert {batch.code for batch in found.batches} == {"BGV", "BGX"}


def test_nothing_found_says_what_may_help(grower):
    text = search(grower, "zzz").content.decode()

    assert "Nothing has that name or code" in text


@pytest.mark.parametrize("text", ["", "   ", "'", "×", "%", "_", "<script>", "x" * 500])
def test_odd_words_find_nothing_and_break_nothing(grower, text):
    lot_holding(3, "A1", plant=PlantFactory(name="Buxus 'Green Velvet'"))

    answer = search(grower, text)

    assert answer.status_code == 200
    assert not answer.context["found"].every
    assert "<script>" not in answer.content.decode().split("<main")[1]
