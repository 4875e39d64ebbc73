"""What sticking, potting up and an added cost take: shown before, charged after, traced back."""

from decimal import Decimal

import pytest

from inventory.models import Lot, Operation, SupplyEntry, WorkEntry
from inventory.operations import supply_catalogue
from tests.entering import as_grower, page, sent, undo_last
from tests.factories import NurseryFactory, PlantFactory, container
from tests.supply_scenes import bought, jory, potting, rooted_tray, supply, there

pytestmark = pytest.mark.django_db


@pytest.fixture
def grower(client):
    NurseryFactory()
    return as_grower(client)


def potted(quantity=40, **more):
    """Return what the potting page would send, its lines left as the recipe says."""
    return sent(quantity=quantity, container=container("#1").pk, **more)


def told(client, lot, form):
    """Return what the page says before it is saved."""
    return client.post(page("pot-up", lot.pk), form | {"preview": "1"}).content.decode()


def cost_of_potted():
    return Lot.objects.get(code="THS-24A-1").balance.cost


def test_the_page_says_what_it_takes_and_the_saved_entry_keeps_its_word(grower):
    pots, bark = potting()
    tray, worker = rooted_tray(), jory()

    text = told(grower, tray, potted(person=worker.pk))
    # 3.00 each so far; 16.00 + 8.40 + 9.00 more for 40: 0.835 each.
    for words in ("40 pieces", "140 litres", "30 minutes", "16.00", "8.40", "9.00"):
        assert words in text, words
    assert "about $3.84 after potting" in text or "about 3.835 after potting" in text
    assert SupplyEntry.objects.filter(kind="used").count() == 0

    grower.post(page("pot-up", tray.pk), potted(person=worker.pk))
    assert cost_of_potted() == Decimal("153.40")
    assert there(pots) == (60, Decimal("24.00"))
    assert there(bark) == (860, Decimal("51.60"))


def test_each_line_can_be_changed_and_a_nothing_leaves_it_out(grower):
    pots, bark = potting()
    tray, worker = rooted_tray(), jory()
    form = potted(person=worker.pk, minutes="20", **{f"use_{pots.pk}": "41", f"use_{bark.pk}": "0"})

    grower.post(page("pot-up", tray.pk), form)

    assert there(pots)[0] == 59
    assert there(bark)[0] == 1000
    assert WorkEntry.objects.get().amount == Decimal("6.00")
    assert cost_of_potted() == Decimal("142.40")


def test_time_of_nobody_is_not_counted(grower):
    potting()
    jory()

    grower.post(page("pot-up", rooted_tray().pk), potted(person=""))

    assert not WorkEntry.objects.exists()


def test_too_little_on_hand_warns_and_does_not_block(grower):
    pots, _ = potting()
    tray = rooted_tray(120)

    assert "20 short" in told(grower, tray, potted(120))

    grower.post(page("pot-up", tray.pk), potted(120))
    assert there(pots)[0] == -20


def test_pressed_twice_takes_once_and_undo_gives_back(grower):
    pots, bark = potting()
    tray = rooted_tray()
    before, form = (there(pots), there(bark)), potted()

    for _ in range(2):
        grower.post(page("pot-up", tray.pk), form)
    assert there(pots)[0] == 60

    undo_last(grower)
    assert (there(pots), there(bark)) == before
    assert tray.balance.__class__.objects.get(pk=tray.pk).on_hand == 52


@pytest.mark.parametrize("typed", ["-1", "many", "12345678901234567"])
def test_a_line_that_is_no_quantity_is_refused_and_kept(grower, typed):
    pots, _ = potting()
    tray = rooted_tray()

    answer = grower.post(page("pot-up", tray.pk), potted(note="kept", **{f"use_{pots.pk}": typed}))

    assert answer.context["form"].errors[f"use_{pots.pk}"]
    assert "kept" in answer.content.decode()
    assert Operation.objects.count() == 1


def test_numbers_beyond_what_a_ledger_holds_are_refused(grower):
    pots = supply()
    bought(pots, "1", "900000000")
    tray = rooted_tray()

    answer = grower.post(page("pot-up", tray.pk), potted(**{f"use_{pots.pk}": "900000000"}))

    assert "more than the ledger can hold" in answer.content.decode()
    assert Operation.objects.count() == 1


def test_a_container_without_a_recipe_takes_nothing_by_itself(grower):
    pots, _ = potting()
    form = potted() | {"container": container("#3").pk}

    grower.post(page("pot-up", rooted_tray().pk), form)

    assert there(pots)[0] == 100


def test_sticking_follows_its_recipe_for_that_plant(grower):
    trays, plant = supply("Trays"), PlantFactory(name="Taxus ×media 'Hicksii'")
    bought(trays, "10", "10.00")
    tray = container("tray")
    for of, quantity in ((None, "0.02"), (plant, "0.05")):
        supply_catalogue.set_recipe(
            kind="stick", container=tray, plant=of, quantities={trays: Decimal(quantity)}
        )
    form = sent(plant="Taxus x media Hicksii", quantity="100", container=tray.pk)
    form["plant"] = plant.name

    ahead = grower.post(page("begin", "stick"), form | {"preview": "1"}).content.decode()
    assert "5 pieces" in ahead
    grower.post(page("begin", "stick"), form)

    assert there(trays) == (5, Decimal("5.00"))
    assert Lot.objects.get().balance.cost == Decimal("5.00")


def test_liners_bought_in_take_no_recipe(grower):
    trays, tray = supply("Trays"), container("tray")
    supply_catalogue.set_recipe(kind="stick", container=tray, quantities={trays: Decimal(1)})

    text = grower.get(page("begin", "receive"), follow=True).content.decode()
    assert f"use_{trays.pk}" not in text
    form = sent(plant="Buxus sempervirens", quantity="10", container=tray.pk)
    grower.post(page("begin", "receive"), form)
    assert there(trays)[0] == 0


def test_a_cost_may_be_supplies_and_time_without_money(grower):
    feed, tray = supply("Feed", unit="gram", category="feed"), rooted_tray()
    bought(feed, "1000", "5.00")
    address = page("add-cost", tray.pk)

    refused = grower.post(address, sent(category="other")).content.decode()
    assert "Enter an amount above nothing" in refused
    answer = grower.post(address, sent(category="other", **{f"use_{feed.pk}": "520"}), follow=True)

    assert "Added $2.60 to lot" in answer.content.decode()
    assert there(feed) == (480, Decimal("2.40"))


def test_the_cost_of_a_plant_opens_down_to_the_purchase_of_its_pot(grower):
    pots, _ = potting()
    grower.post(page("pot-up", rooted_tray().pk), potted(person=jory().pk))
    lot = Lot.objects.get(code="THS-24A-1")

    story = grower.get(page("lot", lot.pk)).content.decode()
    assert "40 pieces Pots #1" in story
    assert "30 minutes, Jory" in story
    used = page("supply-use", pots.entries.get(kind="used").pk)
    assert f'href="{used}"' in story

    use_page = grower.get(used).content.decode()
    assert "Marrowgate Pot Works" in use_page and "40.00" in use_page
    link = page("supply", pots.pk)
    assert f'href="{link}"' in use_page
    assert "Potted up 40" in grower.get(link).content.decode()


def test_an_undone_potting_tells_no_supplies(grower):
    potting()
    tray = rooted_tray()
    grower.post(page("pot-up", tray.pk), potted())
    undo_last(grower)

    assert "40 pieces Pots #1" not in grower.get(page("lot", tray.pk)).content.decode()
