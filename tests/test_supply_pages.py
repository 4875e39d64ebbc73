"""The pages of supplies, recipes and people."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Person, Recipe, Supply, SupplyEntry
from inventory.operations import supply_catalogue
from inventory.operations.spending import Use
from tests.entering import as_grower, page, sent
from tests.factories import NurseryFactory, PlantFactory, UserFactory, container
from tests.supply_scenes import bought, jory, pot_up, potting, rooted_tray, supply, there

pytestmark = pytest.mark.django_db


@pytest.fixture
def grower(client):
    NurseryFactory()
    return as_grower(client)


def text_of(client, *address):
    answer = client.get(page(*address), follow=True)
    assert answer.status_code == 200
    return answer.content.decode()


def test_every_page_asks_for_a_login_and_writing_for_a_permission(client):
    NurseryFactory()
    UserFactory()
    pots = supply()
    pages = [("supply-list",), ("supply", pots.pk), ("recipe-list",), ("person-list",)]
    writing = [
        ("supply-add",),
        ("supply-edit", pots.pk),
        ("supply-buy", pots.pk),
        ("supply-count", pots.pk),
        ("supply-import",),
        ("recipe-edit", "pot_up", container("#1").pk),
        ("person-add",),
        ("person-edit", jory().pk),
    ]
    for address in (*pages, *writing):
        assert "login" in client.get(page(*address)).url, address

    client.force_login(UserFactory())
    for address in writing:
        assert client.get(page(*address)).status_code == 403, address


def test_empty_pages_say_what_belongs_there(grower):
    assert "No supplies yet" in text_of(grower, "supply-list")
    assert "No recipe yet" in text_of(grower, "recipe-list")
    assert "Nobody yet" in text_of(grower, "person-list")


def test_the_list_shows_what_is_there_and_what_to_order(grower, django_assert_max_num_queries):
    pots = supply(pack_size="50", reorder_at="160")
    bought(pots, "100", "40.00")
    for number in range(12):
        bought(supply(f"Tag {number}"), "10", "1.00")

    with django_assert_max_num_queries(8):
        text = text_of(grower, "supply-list")

    assert "2 × 50" in text
    assert text.count(">order</span>") == 1


def test_a_supply_shows_what_used_it_newest_first(grower, django_assert_max_num_queries):
    pots, _ = potting()
    tray = rooted_tray()
    for _ in range(8):
        pot_up(tray, 5, [Use(pots, Decimal(5))])

    with django_assert_max_num_queries(30):
        text = text_of(grower, "supply", pots.pk)

    used, came = "Potted up 5", "Bought 100 pieces from Marrowgate Pot Works for $40.00"
    assert text.count(used) == 8
    assert text.index(used) < text.index(came)
    assert text.count("Undo<span") == 1, "a use is undone with its potting"


def test_the_price_is_drawn(grower):
    pots, _ = potting()
    answer = grower.get(page("supply-chart", pots.pk))

    assert answer["Content-Type"] == "image/svg+xml"
    assert b"<svg" in answer.content


def test_buying_by_packs(grower):
    pots = supply(pack_size="50")
    form = sent(packs="2", pack_size="50", amount="40.00", supplier="Marrowgate Pot Works")

    for _ in range(2):
        answer = grower.post(page("supply-buy", pots.pk), form, follow=True)

    assert there(pots) == (100, Decimal("40.00"))
    assert "Bought 100 pieces from Marrowgate Pot Works" in answer.content.decode()


def test_looking_ahead_writes_nothing(grower):
    pots = supply()
    bought(pots, "100", "40.00")

    ahead = sent(quantity="100", amount="60.00", preview="1")
    text = grower.post(page("supply-buy", pots.pk), ahead).content.decode()
    assert "200 there then" in text
    missing = sent(found="90", preview="1")
    text = grower.post(page("supply-count", pots.pk), missing).content.decode()
    assert "10 missing" in text
    assert there(pots) == (100, Decimal("40.00"))


@pytest.mark.parametrize(
    ("typed", "right"),
    [
        ({"amount": "4"}, "how many packs"),
        ({"amount": "4", "packs": "2"}, "how many one pack holds"),
        ({"amount": "4", "packs": "2", "pack_size": "5", "quantity": "3"}, "not both"),
        ({"quantity": "3"}, "required"),
        ({"amount": "4", "quantity": "three"}, "Enter a number"),
        ({"amount": "4", "packs": "900000000", "pack_size": "900"}, "more than the ledger"),
    ],
)
def test_a_purchase_that_is_not_right_is_kept_and_told(grower, typed, right):
    pots = supply()

    answer = grower.post(page("supply-buy", pots.pk), sent(supplier="Kept & Sons", **typed))

    text = answer.content.decode()
    assert right in text
    assert "Kept &amp; Sons" in text
    assert not SupplyEntry.objects.exists()


def test_counting_and_undoing_it(grower):
    pots = supply()
    bought(pots, "100", "40.00")
    grower.post(page("supply-count", pots.pk), sent(found="90"))
    assert there(pots) == (90, Decimal("36.00"))

    undo = page("supply-undo", pots.entries.get(kind="counted").pk)
    for _ in range(2):
        answer = grower.post(undo, follow=True)

    assert there(pots) == (100, Decimal("40.00"))
    assert "undone" in answer.content.decode()
    assert grower.get(undo).status_code == 405


def test_undoing_what_a_potting_used_is_refused(grower):
    pots, _ = potting()
    pot_up(rooted_tray(), 40, [Use(pots, Decimal(40))])

    undo = page("supply-undo", pots.entries.get(kind="used").pk)
    assert "undo that instead" in grower.post(undo, follow=True).content.decode()
    assert there(pots) == (60, Decimal("24.00"))


def test_a_supply_is_added_once_and_changed(grower):
    form = sent(name="Bark", unit="litre", category="medium", settling_percent="12.5")
    for _ in range(2):
        grower.post(page("supply-add"), form)
    bark = Supply.objects.get()
    assert (bark.unit, bark.settling_percent, bark.pack_size) == ("litre", Decimal("12.5"), None)
    assert 'value="12.50"' in text_of(grower, "supply-edit", bark.pk).replace('"12.5"', '"12.50"')

    changed = form | {"name": "Fine bark", "reorder_at": "200"}
    grower.post(page("supply-edit", bark.pk), changed)
    bark.refresh_from_db()
    assert (bark.name, bark.reorder_at) == ("Fine bark", 200)


def test_a_medium_cannot_settle_by_all(grower):
    form = sent(name="Bark", unit="litre", category="medium", settling_percent="100")

    text = grower.post(page("supply-add"), form).content.decode()

    assert "less than or equal to 90" in text
    assert not Supply.objects.exists()


def test_a_recipe_is_written_on_one_page(grower):
    pots, pot = supply(), container("#1")
    chosen = {"kind": "pot_up", "container": pot.pk, "plant": PlantFactory().pk}
    address = grower.get(page("recipe-list"), chosen).url
    assert address == page("recipe-edit", "pot_up", pot.pk, chosen["plant"])

    form = sent(minutes="0.75", **{f"supply_{pots.pk}": "1"})
    grower.post(address, form)
    recipe = Recipe.objects.get()
    assert (recipe.minutes, recipe.lines.get().quantity) == (Decimal("0.75"), 1)
    assert recipe.plant_id == chosen["plant"]
    assert "0.75 minutes" in text_of(grower, "recipe-list")

    refused = grower.post(address, form | {f"supply_{pots.pk}": "-1"}).content.decode()
    assert "greater than or equal to 0" in refused
    grower.post(address, sent())
    assert not Recipe.objects.exists()
    assert grower.get(page("recipe-edit", "weed", pot.pk)).status_code == 404


def test_the_recipes_need_as_many_queries_for_many(grower, django_assert_max_num_queries):
    pots = supply()
    for size in ("#1", "#2", "#3", "#5"):
        supply_catalogue.set_recipe(
            kind="pot_up", container=container(size), quantities={pots: Decimal(1)}
        )

    with django_assert_max_num_queries(13):
        text_of(grower, "recipe-list")


def test_a_person_is_added_and_changed(grower):
    grower.post(page("person-add"), sent(name="Maren", hourly_rate="24", is_own="on"))
    maren = Person.objects.get()
    assert (maren.hourly_rate, maren.is_own) == (24, True)

    grower.post(page("person-edit", maren.pk), sent(name="Maren", hourly_rate="25.50"))
    maren.refresh_from_db()
    assert (maren.hourly_rate, maren.is_own) == (Decimal("25.5"), False)
    text = grower.post(page("person-add"), sent(name="Maren", hourly_rate="-1")).content.decode()
    assert "greater than or equal to 0" in text


def test_growing_and_books_lead_to_the_supplies_and_today_says_what_to_order(grower):
    rooted_tray()
    pots = supply(pack_size="50", reorder_at="60")
    bought(pots, "9", "4.00", on=date(2025, 4, 1))

    assert page("supply-list") in text_of(grower, "growing")
    assert page("supply-list") in grower.get(reverse("sales:books")).content.decode()
    today = grower.get(reverse("today")).content.decode()
    assert "Order supplies" in today
    assert page("supply", pots.pk) in today
