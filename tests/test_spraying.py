"""Pesticides: written down once, the place closed for the label's hours, kept and taken back."""

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from inventory.errors import LedgerError
from inventory.models import Spraying
from inventory.operations.spraying import put_spraying_back, remove_spraying, spray
from inventory.queries.spraying import closed_places
from tests.entering import as_grower, page, sent
from tests.factories import PlaceFactory
from tests.test_ledger_file import exported, left_behind, read

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 5, 4, 12, tzinfo=UTC)


def sprayed(place, hours=12, **more):
    facts = {"product": "Leaf Soap 40", "ended_at": NOON, "request_id": uuid4()} | more
    return spray(place=place, reentry_hours=hours, **facts)


def closed_at(hours):
    closed = closed_places(NOON + timedelta(hours=hours))
    return {place: row.product for place, row in closed.items()}


# Of products used together the longest re-entry time counts (40 CFR 170.112(a)(3), as it was).
def test_a_place_and_its_parts_are_closed_until_the_longest_time_is_over():
    house = PlaceFactory()
    bench, other = PlaceFactory(parent=house), PlaceFactory()
    sprayed(house, 4)
    sprayed(house, 24, product="Bud Guard")

    assert closed_at(5) == {house.pk: "Bud Guard", bench.pk: "Bud Guard"}
    assert other.pk not in closed_at(5)
    assert closed_at(24) == {}


def test_it_is_written_once_and_taken_back_and_kept_again():
    place, key = PlaceFactory(), uuid4()
    row = sprayed(place, request_id=key)
    assert sprayed(place, 99, request_id=key) == row

    remove_spraying(spraying=row)
    assert closed_at(1) == {}
    put_spraying_back(spraying=row)
    assert closed_at(1) == {place.pk: "Leaf Soap 40"}


def test_no_product_no_hours_of_any_label_and_no_time_to_come():
    for wrong in ({"product": " "}, {"hours": 2001}, {"ended_at": timezone.now() + timedelta(3)}):
        with pytest.raises(LedgerError):
            sprayed(PlaceFactory(), **wrong)
    assert not Spraying.objects.exists()


def test_the_page_of_a_place_says_that_it_is_closed(client, django_user_model):
    place = PlaceFactory()
    now = timezone.localtime()
    typed = {"product": "Leaf Soap 40", "reentry_hours": 12, "time": now.strftime("%H:%M")}
    form = sent(now.date(), **typed)
    as_grower(client)

    for _ in range(2):
        client.post(page("spraying-add", place.pk), form)

    told = client.get(page("place", place.pk)).content.decode()
    assert "Keep out until" in told and told.count("Leaf Soap 40") > 1
    client.post(page("spraying-remove", Spraying.objects.get().pk))
    assert "Keep out until" not in client.get(page("place", place.pk)).content.decode()
    client.force_login(django_user_model.objects.create(username="helper"))
    assert client.get(page("spraying-add", place.pk)).status_code == 403


def test_it_survives_the_ledger_file():
    with left_behind():
        sprayed(PlaceFactory(name="House"), registration="70-1", applicator="Ida, C-9")
        file = exported()

    read(file)

    row = Spraying.objects.get()
    assert (row.ended_at, row.reentry_hours, row.applicator) == (NOON, 12, "Ida, C-9")
    assert exported() == file and read(file) == 0
