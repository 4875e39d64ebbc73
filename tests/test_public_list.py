"""The list on the web: what anyone sees of it, and what nobody does."""

import json
import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone
from lxml import etree

from inventory import operations as growing
from inventory.errors import LedgerError
from inventory.models import Plant
from sales import operations
from sales.errors import SaleRefused
from sales.models import BuyerLink, ListNews, PublicList
from tests.entering import as_grower
from tests.factories import (
    BuyerFactory,
    NurseryFactory,
    PlantFactory,
    UserFactory,
    give_price,
    lot_holding,
    sell_from,
)
from tests.test_photos import taken

pytestmark = pytest.mark.django_db
NASTY = "</script><script>alert(1)</script>"
# Terms of https://schema.org/Product, /Offer, /ItemList, /ListItem, /GardenStore and
# /QuantitativeValue, from memory of their pages.
TERMS = {
    "ItemList": {"itemListElement"},
    "ListItem": {"position", "item"},
    "Product": {"name", "alternateName", "image", "url", "size", "offers"},
    "Offer": {"url", "seller", "availability", "availabilityStarts", "inventoryLevel", "price",
              "priceCurrency"},
    "GardenStore": {"name", "telephone", "email"},
    "QuantitativeValue": {"value"},
}  # fmt: skip
# RFC 4287, sections 4.1.1 and 4.1.2: what a feed and an entry must have.
MUST_HAVE = {"feed": {"id", "title", "updated", "author"}, "entry": {"id", "title", "updated"}}
ATOM = "{http://www.w3.org/2005/Atom}"


@pytest.fixture
def lot():
    NurseryFactory(phone="555 0100")
    yew = PlantFactory(name="Taxus ×media 'Hicksii'", common_name="Hicks yew", poisonous="Seeds.")
    found = lot_holding(60, "SECRET-LOT", plant=yew, medium="77.00")
    give_price(found, "21.25")
    give_price(found, "17.00", list="landscaper")
    return found


def switch_on(**facts):
    facts = {"is_on": True, "phone": "555 0100", "on_list": "stand"} | facts
    return operations.change_public_list(**facts)


def page(client, address="/list/"):
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def told(text):
    """Return a page without the keys of its rows, in which any digits may stand."""
    return re.sub(r"\bp\d+-\d+", "", text)


def data_of(text):
    found = re.findall(r'<script type="application/ld\+json">(.*?)</script>', text, re.DOTALL)
    assert len(found) == 1
    return json.loads(found[0])


@pytest.mark.parametrize("address", ["/list/", "/list/feed.atom", "/sitemap.xml"])
def test_nothing_is_there_until_it_is_switched_on(client, lot, address):
    assert client.get(address).status_code == 404
    switch_on()
    assert client.get(address).status_code == 200
    operations.change_public_list(is_on=False)
    assert client.get(address).status_code == 404


def test_anyone_sees_what_is_ready_and_nothing_of_the_ledger(client, lot):
    sell_from(lot, 2, buyer=BuyerFactory(name="Hidden Gardens"))
    switch_on(numbers="exact", greeting="Open on Saturdays", call_name="Ask for Wren")
    text = page(client)

    for word in ("Hicksii", "Hicks yew", "58 available", "$21.25 each", "Open on Saturdays",
                 "Ask for Wren", "tel:5550100", "Seeds."):  # fmt: skip
        assert word in text
    for word in ("SECRET-LOT", "Hidden Gardens", "1.28", "77", "17.00", "csrf"):
        assert word not in told(text)


@pytest.mark.parametrize(
    ("facts", "said", "unsaid"),
    [
        ({"numbers": "capped"}, "10+ available", "60"),
        ({"numbers": "yes"}, ">available,", "60"),
        ({"on_list": ""}, "10+ available", "21.25"),
        ({"on_list": "landscaper"}, "$17.00 each", "21.25"),
    ],
)
def test_the_owner_chooses_what_is_told(client, lot, facts, said, unsaid):
    switch_on(**facts)
    text = page(client)

    assert said in text
    assert unsaid not in told(text)


def test_a_sale_and_a_hold_show_at_once(client, lot):
    switch_on(numbers="exact")
    page(client)
    sell_from(lot, 50)
    assert "10 available" in page(client)
    today = timezone.localdate()
    wanted = operations.Wanted(lot.plant, lot.container, 4)
    buyer = BuyerFactory()
    operations.hold(buyer=buyer, wanted=[wanted], on=today, until=today, request_id=uuid4())

    assert "6 available" in page(client)


def test_what_is_ready_later_is_told_with_its_day_where_chosen(client, lot):
    lot.ready_on = timezone.localdate() + timedelta(days=90)
    lot.save()
    switch_on()
    assert "ready from" in page(client)
    assert data_of(page(client))["itemListElement"][0]["item"]["offers"]["availabilityStarts"]
    switch_on(shows_later=False)

    assert "Nothing is ready at the moment" in page(client)


def test_a_visitor_costs_two_questions_however_long_the_list(
    client, lot, django_assert_max_num_queries
):
    switch_on()
    for number in range(30):
        lot_holding(3, f"P{number}")
    page(client)

    with django_assert_max_num_queries(2):
        assert page(client).count("<li id=") == 31


def test_what_was_seen_is_not_sent_again(client, lot):
    switch_on()
    first = client.get("/list/")
    again = client.get("/list/", headers={"If-None-Match": first["ETag"]})

    assert again.status_code == 304 and not again.content
    assert "public" in first["Cache-Control"] and "max-age=300" in first["Cache-Control"]
    sell_from(lot, 55)
    assert client.get("/list/", headers={"If-None-Match": first["ETag"]}).status_code == 200


def test_machines_read_the_list_by_the_terms_of_schema_org(client, lot):
    switch_on(numbers="exact")
    data = data_of(page(client))

    def check(node):
        assert set(node) - {"@type", "@context"} <= TERMS[node["@type"]]
        for value in node.values():
            for part in value if isinstance(value, list) else [value]:
                if isinstance(part, dict):
                    check(part)

    assert data["@context"] == "https://schema.org"
    check(data)
    offer = data["itemListElement"][0]["item"]["offers"]
    assert (offer["price"], offer["priceCurrency"]) == ("21.25", "USD")
    # https://schema.org/ItemAvailability names InStock and PreOrder.
    assert offer["availability"] == "https://schema.org/InStock"
    assert offer["inventoryLevel"]["value"] == 60


def test_a_plant_named_like_a_script_is_harmless(client, lot):
    Plant.objects.filter(pk=lot.plant_id).update(name=NASTY, common_name=NASTY)
    switch_on(greeting=NASTY, call_name=NASTY)
    text = page(client)

    assert "<script>alert" not in text
    assert text.count("<script") == text.count("</script>") == 1
    assert data_of(text)["itemListElement"][0]["item"]["alternateName"] == NASTY
    assert b"<script>alert" not in client.get("/list/feed.atom").content


def test_the_feed_tells_what_changed_and_is_well_formed(client, lot):
    switch_on(numbers="exact")
    sell_from(lot, 10)
    page(client)
    sell_from(lot, 50)
    feed = etree.fromstring(client.get("/list/feed.atom").content)

    assert feed.tag == f"{ATOM}feed"
    entries = feed.findall(f"{ATOM}entry")
    for node, kind in [(feed, "feed"), *((entry, "entry") for entry in entries)]:
        assert {etree.QName(child).localname for child in node} >= MUST_HAVE[kind]
    titles = [entry.findtext(f"{ATOM}title") for entry in entries]
    assert titles == [
        "Gone: Taxus ×media 'Hicksii', #1",
        "Taxus ×media 'Hicksii', #1",
        "New: Taxus ×media 'Hicksii', #1",
    ]
    ids = [entry.findtext(f"{ATOM}id") for entry in entries]
    assert len(set(ids)) == 3 and all(one.startswith("urn:uuid:") for one in ids)
    assert "50 available" in entries[1].findtext(f"{ATOM}summary")


def test_robots_and_the_sitemap_lead_to_the_list_alone(client, lot):
    assert client.get("/robots.txt").content == b"User-agent: *\nDisallow: /\n"
    switch_on()
    robots = client.get("/robots.txt").content.decode()
    sitemap = etree.fromstring(client.get("/sitemap.xml").content)

    assert "Allow: /list/\n" in robots and "Disallow: /list/for/" in robots
    # The namespace of the protocol of sitemaps.org, from memory.
    space = "{http://www.sitemaps.org/schemas/sitemap/0.9}"
    assert [one.text for one in sitemap.iter(f"{space}loc")] == ["http://testserver/list/"]
    assert "Sitemap: http://testserver/sitemap.xml" in robots


def test_pictures_are_seen_by_anyone_only_where_the_list_shows_them(client, lot):
    photo = growing.add_photo(plant=lot.plant, content=taken(), request_id=uuid4())
    address = f"/list/photos/{photo.small}"
    assert client.get(address).status_code == 404
    switch_on()
    assert f'src="{address}"' in page(client) and "og:image" in page(client)
    assert client.get(address)["Content-Type"] == "image/jpeg"
    growing.remove_photo(photo=photo)

    assert client.get(address).status_code == 404
    assert "<img" not in page(client)
    switch_on(shows_photos=False)
    assert client.get("/list/photos/x").status_code == 404


def test_a_link_shows_one_buyer_their_prices_until_its_day(client, lot):
    buyer = BuyerFactory()
    today = timezone.localdate()
    link = operations.make_buyer_link(buyer=buyer, last_on=today)
    answer = client.get(f"/list/for/{link.token}/")
    text = answer.content.decode()

    assert "$17.00 each" in text and "21.25" not in text and buyer.name in text
    assert "noindex" in answer["X-Robots-Tag"] and "no-store" in answer["Cache-Control"]
    assert "ld+json" not in text and "og:" not in text
    BuyerLink.objects.update(made_on=today - timedelta(days=9), last_on=today - timedelta(days=1))
    assert client.get(f"/list/for/{link.token}/").status_code == 404
    assert client.get("/list/for/guess/").status_code == 404


def test_a_stopped_link_leads_nowhere_and_is_back_by_undo(client, lot):
    link = operations.make_buyer_link(buyer=BuyerFactory(), last_on=timezone.localdate())
    again = operations.make_buyer_link(buyer=link.buyer, last_on=timezone.localdate())
    assert again == link and len(link.token) == 32
    operations.stop_buyer_link(link=link)
    assert client.get(f"/list/for/{link.token}/").status_code == 404
    operations.restart_buyer_link(link=link)

    assert client.get(f"/list/for/{link.token}/").status_code == 200


def test_a_link_that_ended_is_another_when_made_anew(lot):
    today = timezone.localdate()
    old = operations.make_buyer_link(buyer=BuyerFactory(), last_on=today)
    BuyerLink.objects.update(made_on=today - timedelta(days=9), last_on=today - timedelta(days=1))

    assert operations.make_buyer_link(buyer=old.buyer, last_on=today).token != old.token
    for day in (today - timedelta(days=1), today + timedelta(days=400)):
        with pytest.raises(SaleRefused, match="from today on"):
            operations.make_buyer_link(buyer=old.buyer, last_on=day)


def test_a_list_that_names_no_way_to_reach_the_nursery_is_refused(lot):
    with pytest.raises(SaleRefused, match="phone number or an e-mail"):
        switch_on(phone=" ")
    with pytest.raises(LedgerError, match="not a valid choice"):
        switch_on(numbers="some")
    assert not PublicList.objects.filter(is_on=True).exists()


@pytest.mark.parametrize("wrong", [{"pk": 2}, {"numbers": "some"}, {"on_list": "friends"}])
def test_the_database_refuses_another_list_or_an_unknown_choice(lot, wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        PublicList.objects.bulk_create([PublicList(**{"pk": 1} | wrong)])


def test_the_database_refuses_a_wrong_link_or_empty_news(lot):
    buyer, today = BuyerFactory(), timezone.localdate()
    facts = {"buyer": buyer, "made_on": today, "last_on": today, "token": "x" * 32}
    BuyerLink.objects.create(**facts)
    yesterday = today - timedelta(days=1)
    short, backwards = {"token": "short"}, {"token": "y" * 32, "last_on": yesterday}
    for wrong in ({}, short | {"is_withdrawn": True}, backwards | {"is_withdrawn": True}):
        with pytest.raises(IntegrityError), transaction.atomic():
            BuyerLink.objects.create(**facts | wrong)
    with pytest.raises(IntegrityError), transaction.atomic():
        ListNews.objects.create(at=timezone.now(), title="")


def test_the_list_is_switched_on_in_the_settings(client, lot):
    as_grower(client)
    sent = {"is_on": "on", "numbers": "exact", "phone": "555 0100", "request_days": "180"}
    refused = client.post("/settings/list/", sent | {"phone": ""}).content.decode()
    saved = client.post("/settings/list/", sent, follow=True).content.decode()

    assert "Give a phone number" in refused
    assert "Anyone may see the list now" in saved and "http://testserver/list/" in saved
    client.force_login(UserFactory())
    assert client.get("/settings/list/").status_code == 403


def test_a_link_is_made_stopped_and_put_back_on_the_buyers_page(client, lot):
    as_grower(client)
    buyer = BuyerFactory()
    address = f"/buyers/{buyer.pk}/link/"
    assert address in client.get(f"/buyers/{buyer.pk}/").content.decode()
    sent = {"last_on": timezone.localdate().isoformat()}
    made = client.post(address, sent, follow=True).content.decode()
    link = BuyerLink.objects.get()

    assert f"http://testserver/list/for/{link.token}/" in made
    assert "leads nowhere" in client.post(f"/links/{link.pk}/stop/", follow=True).content.decode()
    assert "works again" in client.post(f"/links/{link.pk}/back/", follow=True).content.decode()
    assert "2020" in client.post(address, {"last_on": "2020-01-01"}).content.decode()
    client.force_login(UserFactory())
    assert client.get(address).status_code == 403
