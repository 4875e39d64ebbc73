"""What a page leaves out for who may not see it: figures, buttons, ways that lead nowhere."""

from decimal import Decimal

import pytest

from inventory.models import Operation
from nursery.people.dead_ends import without_dead_ends
from nursery.people.rights import may_go
from sales.models import Price
from tests.factories import NurseryFactory, UserFactory, give_price, lot_holding, sell_from
from tests.test_bring_in import brought, standing

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot():
    NurseryFactory()
    found = lot_holding(20, "25-TX", medium="26.20")
    give_price(found, "12.34")
    return found


def as_role(client, role):
    client.force_login(UserFactory(role=role, is_superuser=role == "owner"))
    return client


PAGES = ("/", "/lots/", "/lots/{lot}/", "/plants/{plant}/", "/availability/", "/prices/", "/sell/")
FILES = (
    "/lots/?_export=csv",
    "/prices/?_export=csv",
    "/sell/data.json",
    "/availability/?_export=csv",
)


def test_a_seller_sees_no_cost_and_an_owner_does(client, lot):
    told = ("26.20", "1.31", "cost each", "costs now", "margin")
    read = {}
    addresses = [page.format(lot=lot.pk, plant=lot.plant_id) for page in (*PAGES, *FILES)]
    for role in ("owner", "seller"):
        as_role(client, role)
        read[role] = {address: client.get(address).text.lower() for address in addresses}
    everything = {role: " ".join(texts.values()) for role, texts in read.items()}

    assert [word for word in told if word not in everything["owner"]] == []
    seen = [(at, word) for at, text in read["seller"].items() for word in told if word in text]
    assert seen == []
    assert "12.34" in everything["seller"] and '"cost": 0' in everything["seller"]


def test_a_grower_sees_what_plants_cost_and_no_price_or_buyer(client, lot):
    as_role(client, "grower")
    pages = ("/", "/lots/", f"/lots/{lot.pk}/", f"/plants/{lot.plant_id}/", "/availability/")

    text = " ".join(client.get(page).text for page in (*pages, "/availability/?_export=csv"))

    assert "26.20" in text and "12.34" not in text
    assert 'href="/buyers/' not in text and 'href="/books/' not in text and "/sell/" not in text
    assert f"/lots/{lot.pk}/pot-up/" in text
    assert "price" not in client.get(f"/labels/?lot={lot.pk}").text


def test_a_viewer_finds_no_button_that_would_be_refused(client, lot):
    viewer = UserFactory(role="viewer")
    client.force_login(viewer)
    sell_forms = ("/", "/lots/", f"/lots/{lot.pk}/", "/buyers/", "/settings/", "/holds/", "/bills/")

    for page in sell_forms:
        text = client.get(page).text
        assert text.count("<form") - text.count('action="/accounts/logout/"') == text.count(
            'role="search"'
        ) + text.count('class="filters"'), page
        assert "/pot-up/" not in text and "/add/" not in text and "/write-off/" not in text
    assert not may_go(viewer, "/lots/1/move/") and may_go(viewer, "/books/")


def test_today_tells_each_of_what_is_theirs(client, lot):
    seen = {}
    for role in ("owner", "grower", "seller"):
        seen[role] = as_role(client, role).get("/").text

    assert "Margin per plant" in seen["owner"] and "Margin per plant" not in seen["grower"]
    assert "Write off losses" in seen["grower"] and "Write off losses" not in seen["seller"]
    assert "Sell at the stand" in seen["seller"] and "Sell at the stand" not in seen["grower"]


def test_a_grower_does_not_undo_what_a_grower_could_not_enter(client, lot):
    priced, plain = brought(standing(price=Decimal("24.50"))), brought(standing("Taxus baccata"))
    sold = sell_from(lot, 2)
    as_role(client, "grower")

    assert client.post(f"/invoices/{sold.pk}/undo/").status_code == 403
    sale = Operation.objects.get(kind="sale")
    by_its_entry = client.post(f"/entries/{sale.pk}/undo/", follow=True).text
    assert "It is undone on its invoice or receipt" in by_its_entry
    assert "may not set prices" in client.post(f"/entries/{priced.pk}/undo/").text
    assert "Undone" in client.post(f"/entries/{plain.pk}/undo/", follow=True).text
    assert Price.objects.filter(request_id=priced.request_id).exists()


class Known:
    """A person who may go to whatever begins with /open."""

    is_authenticated = True

    def has_perm(self, right):
        return right == "inventory.view_lot"


@pytest.mark.parametrize(
    ("page", "left"),
    [
        ('<p>See <a href="/buyers/">Ann</a>.</p>', "<p>See Ann.</p>"),
        ('<p><a class="button" href="/buyers/">Add</a></p>', ""),
        ('<h2>A</h2><ul><li><a href="/buyers/">B</a></li></ul><h2>C</h2>x', "<h2>C</h2>x"),
        (
            '<h2>A</h2><p><a class="alone" href="/buyers/">B</a></p><h3>C</h3><p>x</p>',
            "<h2>A</h2><h3>C</h3><p>x</p>",
        ),
        ('<ul data-stays><li><a href="/buyers/">B</a></li></ul>', None),
        ('<li><a href="/lots/">B</a></li>', '<li><a href="/lots/">B</a></li>'),
        ('<form method="post" action="/buyers/add/"><p>x</p></form>after', "after"),
        ('<form method="get"><p>x</p></form>', '<form method="get"><p>x</p></form>'),
        ('<form method="post"><p>x</p></form>', ""),
        ('<figure><p>cost</p><img src="/lots/1/cost.svg"></figure>é &amp; ü', "é &amp; ü"),
        ('<a href="https://x.example/">x</a><a href="?page=2">2</a>', None),
        ('<form id="f" method="post" action="/buyers/add/"></form><button form="f">x</button>', ""),
    ],
)
def test_what_leads_nowhere_is_left_out_of_a_page(page, left):
    if left is None:
        left = page.replace('<a href="/buyers/">B</a>', '<div class="row">B</div>')

    body = f"<main>{page}</main>" if page.startswith("<h2") else f"<body>{page}</body>"
    read = without_dead_ends(body, Known(), "/lots/")

    assert read[6:-7] == left
