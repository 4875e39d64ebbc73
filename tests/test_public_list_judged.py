"""The list on the web, judged by general validators: SHACL, a reader of feeds, and XML's rules."""

import json
from datetime import timedelta
from pathlib import Path
from uuid import uuid4

import feedparser
import pyshacl
import pytest
from babel import Locale
from django.utils import timezone
from lxml import etree
from rdflib import Graph, Namespace

from inventory import operations as growing
from inventory.operations.ready import set_ready_on
from sales.models import PublicList
from tests.factories import NurseryFactory, PlantFactory, give_price, lot_holding, sell_from
from tests.test_photos import taken
from tests.test_public_list import NASTY, data_of, page, switch_on

pytestmark = [
    pytest.mark.django_db,
    # The validator's own use of its library, not ours.
    pytest.mark.filterwarnings("ignore:ConjunctiveGraph is deprecated:DeprecationWarning"),
]
SHAPES = Path(__file__).with_name("public_shapes.ttl")
SCHEMA = Namespace("https://schema.org/")
XSD = "http://www.w3.org/2001/XMLSchema#"
# What schema.org's own context says of these terms, given here so that nothing is fetched.
CONTEXT = {
    "@vocab": str(SCHEMA),
    **{term: {"@type": "@id"} for term in ("url", "image", "availability")},
    "availabilityStarts": {"@type": f"{XSD}date"},
    "price": {"@type": f"{XSD}decimal"},
}


@pytest.fixture
def lots():
    NurseryFactory()
    yew = PlantFactory(name="Taxus ×media 'Hicksii'", common_name="Hicks yew")
    now = lot_holding(60, "P1", plant=yew)
    give_price(now, "21.25")
    growing.add_photo(plant=yew, content=taken(), request_id=uuid4())
    later = lot_holding(9, "P2", plant=PlantFactory(name=f"Thuja '{NASTY[:60]}'"))
    set_ready_on(lot=later, ready_on=timezone.localdate() + timedelta(days=90))
    return now, later


def judged(data):
    graph = Graph().parse(data=json.dumps(data | {"@context": CONTEXT}), format="json-ld")
    conforms, _, said = pyshacl.validate(graph, shacl_graph=Graph().parse(SHAPES))
    return graph, conforms, said


def test_the_data_of_the_list_conforms_to_the_shapes_of_a_shop(client, lots):
    switch_on(numbers="exact")
    graph, conforms, said = judged(data_of(page(client)))

    assert conforms, said
    offers = {str(state).rpartition("/")[2] for state in graph.objects(None, SCHEMA.availability)}
    assert offers == {"InStock", "PreOrder"}
    prices = [price.toPython() for price in graph.objects(None, SCHEMA.price)]
    assert [str(price) for price in prices] == ["21.25"]
    for currency in graph.objects(None, SCHEMA.priceCurrency):
        assert str(currency) in Locale("en").currencies


@pytest.mark.parametrize(
    "wrong",
    [{"price": "21,25"}, {"availability": "https://schema.org/Soon"}, {"priceCurrency": "$"}],
)
def test_the_shapes_would_refuse_a_wrong_offer(client, lots, wrong):
    switch_on()
    data = data_of(page(client))
    data["itemListElement"][0]["item"]["offers"] |= wrong

    assert not judged(data)[1]


def test_a_reader_of_feeds_finds_nothing_wrong(client, lots):
    switch_on(numbers="exact")
    page(client)
    sell_from(lots[0], 10)
    feed = feedparser.parse(client.get("/list/feed.atom").content)
    again = feedparser.parse(client.get("/list/feed.atom").content)

    assert not feed.bozo and feed.version == "atom10"
    assert [one.id for one in feed.entries] == [one.id for one in again.entries]
    assert feed.feed.updated_parsed == max(one.updated_parsed for one in feed.entries)
    for one in feed.entries:
        # RFC 4287, 4.1.2: without content an alternate link is a must; each has one summary.
        assert one.link.startswith("http://testserver/list/#p") and one.summary and one.title
        assert one.published_parsed and one.updated_parsed
    assert {link.rel: link.type for link in feed.feed.links if link.rel == "self"}
    assert feed.feed.id == PublicList.objects.get().feed_id.urn


def test_a_feed_without_news_says_the_same_again(client):
    NurseryFactory()
    switch_on()
    first = client.get("/list/feed.atom")
    feed = feedparser.parse(first.content)

    assert not feed.bozo and not feed.entries and feed.feed.updated_parsed
    again = client.get("/list/feed.atom", headers={"If-None-Match": first["ETag"]})
    assert again.status_code == 304


def test_the_sitemap_keeps_the_rules_of_its_protocol(client, lots):
    switch_on()
    page(client)
    root = etree.fromstring(client.get("/sitemap.xml").content)
    # sitemaps.org/protocol, from memory: a urlset of urls, loc first and within 2,048 signs,
    # lastmod in W3C's form of ISO 8601.
    space = "{http://www.sitemaps.org/schemas/sitemap/0.9}"
    [url] = root

    assert (root.tag, url.tag) == (f"{space}urlset", f"{space}url")
    assert [part.tag for part in url] == [f"{space}loc", f"{space}lastmod"]
    assert url[0].text.startswith("http") and len(url[0].text) < 2048
    moment = timezone.datetime.fromisoformat(url[1].text)
    assert moment.tzinfo and moment == PublicList.objects.get().changed_at
