"""The settings of the nursery, and the help."""

import pytest

from inventory.models import Nursery
from tests.factories import NurseryFactory, UserFactory, lot_holding

pytestmark = pytest.mark.django_db
TYPED = {
    "request_id": "5f4b1a52-3f0a-4f7e-9a51-0d8f5a6d3c11",
    "name": "Sedge Hollow Plants",
    "currency": "EUR",
    "units": "metric",
    "season_start_month": "10",
    "season_end_month": "3",
    "counted_for_price": "sale",
}


@pytest.fixture
def grower(client):
    NurseryFactory()
    client.force_login(UserFactory(is_superuser=True))
    return client


def test_settings_and_help_ask_for_a_login(client):
    UserFactory()

    assert client.get("/settings/").status_code == 302
    assert client.get("/help/").status_code == 302


def test_settings_are_closed_to_a_person_without_the_permission(client):
    NurseryFactory()
    client.force_login(UserFactory())

    assert client.post("/settings/", TYPED).status_code == 403
    assert Nursery.current().name == "Quiet Bench Plants"


def test_settings_are_written_and_a_second_press_changes_nothing(grower):
    for _ in range(2):
        assert grower.post("/settings/", TYPED).status_code == 302

    nursery = Nursery.objects.get()
    assert (nursery.name, nursery.currency, nursery.units) == (
        "Sedge Hollow Plants",
        "EUR",
        "metric",
    )
    assert (nursery.season_start_month, nursery.season_end_month) == (10, 3)
    assert nursery.counted_for_price == Nursery.Counted.SALE


def test_the_currency_stays_once_money_is_entered_and_what_was_typed_is_kept(grower):
    lot_holding(10, medium="0.01")

    answer = grower.post("/settings/", TYPED)

    assert answer.status_code == 200
    text = answer.content.decode()
    assert "Money was entered in USD, so it stays USD." in text
    assert 'value="Sedge Hollow Plants"' in text
    assert Nursery.current().name == "Quiet Bench Plants", "nothing may be written"


def test_the_currency_can_change_while_only_plants_are_entered(grower):
    lot_holding(10)

    grower.post("/settings/", TYPED)

    assert Nursery.current().currency == "EUR"


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("name", "", "This field is required"),
        ("currency", "XQQ", "Select a valid choice"),
        ("season_end_month", "13", "Select a valid choice"),
    ],
)
def test_what_cannot_be_is_refused(grower, field, typed, said):
    text = grower.post("/settings/", TYPED | {field: typed}).content.decode()

    assert said in text
    assert Nursery.current().name == "Quiet Bench Plants"


def test_the_other_settings_can_change_after_money_was_entered(grower):
    lot_holding(10, medium="0.01")

    grower.post("/settings/", TYPED | {"currency": "USD"})

    assert Nursery.current().name == "Sedge Hollow Plants"


def test_help_has_the_year_the_words_and_the_cautions(grower):
    text = grower.get("/help/").content.decode()

    assert text.count("<li><b>") == 10 + 8
    for caution in ("The label is the law", "licensed electrician", "your tax authority decides"):
        assert caution in text
