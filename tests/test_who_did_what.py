"""The record of who did what: all that is changed or refused, and nothing that was typed."""

import re
from pathlib import Path
from uuid import uuid4

import pytest
from django.contrib.auth import get_user_model
from django.utils import timezone

from nursery.models import Deed
from nursery.people.asking import NOBODY
from nursery.people.rights import PAGES
from nursery.watching import commands
from nursery.watching.words import BY_SIGNAL, WORDS
from tests.factories import BuyerFactory, NurseryFactory, UserFactory
from tests.watch_rules import deed

COMMANDS = Path(commands.__file__).parent.parent / "management" / "commands"
# They ask for the right to sell, and take nothing.
READ_WITH_THE_STAND = {"sales:sell-data", "sales:sell-shell", "sales:sell-waiting"}
PASSWORD = "cuttings-in-june"


def test_every_address_that_writes_has_its_words():
    writing = {name for name, asks in PAGES.items() if asks.write != NOBODY}

    assert len(writing) > 120
    assert writing - READ_WITH_THE_STAND == set(WORDS) | BY_SIGNAL
    assert all(len(what) <= 80 for _kind, what in WORDS.values())


def test_every_command_is_known_to_write_or_to_read():
    ours = {path.stem for path in COMMANDS.glob("[a-z]*.py")}

    assert ours <= set(commands.COMMANDS) | commands.READING_COMMANDS
    assert not set(commands.COMMANDS) & commands.READING_COMMANDS


def told():
    return [(one.what, one.by and one.by.username, one.refused) for one in Deed.objects.all()]


@pytest.mark.django_db(transaction=True)
def test_a_day_is_told_without_a_word_that_was_typed(client):
    NurseryFactory()
    owner = UserFactory(username="owner", is_superuser=True)
    helper = UserFactory(username="helper")
    BuyerFactory(name="Tesselby Garden Works")
    secret = {"username": "owner", "password": "hunter-seven"}
    place = {"name": "Zinnia House", "kind": "house", "request_id": str(uuid4())}

    client.post("/accounts/login/", secret)
    client.post("/accounts/login/", {"username": "hunter-seven", "password": "x"})
    client.post("/places/add/", place)
    client.post("/accounts/login/", secret | {"password": PASSWORD})
    assert client.post("/places/add/", place | {"name": ""}).status_code == 200, "refused"
    answer = client.post("/places/add/", place)
    assert answer.status_code == 302, answer.content
    assert client.post("/places/add/", place).status_code == 302, "the same again writes nothing"
    client.get("/buyers/?_export=csv")
    client.post("/accounts/logout/")
    client.post("/accounts/login/", {"username": "helper", "password": PASSWORD})
    assert client.post("/settings/", {"name": "Mine"}).status_code == 403

    assert told() == [
        ("changed the settings", "helper", True),
        ("logged in", "helper", False),
        ("logged out", "owner", False),
        ("took a list away as a file", "owner", False),
        ("added a place", "owner", False),
        ("logged in", "owner", False),
        ("tried to log in", "owner", True),
    ]
    everything = str(list(Deed.objects.values_list()))
    assert not re.search("hunter|Zinnia|Tesselby|cuttings", everything)
    assert Deed.objects.get(what="added a place").reference == answer["X-Request-ID"]
    assert {owner.pk, helper.pk} == set(Deed.objects.values_list("by", flat=True))


@pytest.mark.django_db
def test_a_command_names_who_ran_it():
    commands.note(["manage.py", "import_ledger", "book.csv", "--check"])
    commands.note(["manage.py", "verify"])
    commands.note(["manage.py", "import_ledger", "book.csv"])

    written = Deed.objects.get()
    assert (written.kind, written.by) == ("machine", None)
    assert written.machine_user == commands.machine_user() != ""


@pytest.fixture
def owner(client):
    NurseryFactory()
    client.force_login(UserFactory(username="owner", is_superuser=True))
    return client


@pytest.mark.django_db
def test_the_list_goes_on_from_the_last_row_however_long(owner, django_assert_max_num_queries):
    who, at = get_user_model().objects.get(), timezone.now()
    rows = [Deed(kind="growing", what=f"potted up {n}", at=at, by=who) for n in range(60)]
    Deed.objects.bulk_create(rows)

    with django_assert_max_num_queries(8):
        page = owner.get("/settings/who-did-what/?kind=growing")
    seen = list(page.context["table"].data.data)
    while older := page.context["older"]:
        page = owner.get(f"/settings/who-did-what/?kind=growing&before={older}")
        seen += page.context["table"].data.data

    assert [one.what for one in seen] == [f"potted up {n}" for n in reversed(range(60))]
    assert owner.get("/settings/who-did-what/?before=nonsense").status_code == 404


@pytest.mark.django_db
def test_the_list_names_what_it_is_about_and_is_a_file_too(owner):
    buyer = BuyerFactory(name="Tesselby Garden Works")
    deed(kind="buyers", what="changed a buyer", about=f"/buyers/{buyer.pk}/")
    deed(kind="machine", what="read a ledger file in", machine_user="=cmd()")

    page = owner.get("/settings/who-did-what/").content.decode()
    file = owner.get("/settings/who-did-what/?_export=csv").content.decode()

    assert f'<a href="/buyers/{buyer.pk}/">Tesselby Garden Works</a>' in page
    assert "'=cmd(), by a command" in file
    assert f"/buyers/{buyer.pk}/" in file


@pytest.mark.django_db
def test_only_the_owner_reads_who_did_what(client):
    UserFactory(is_superuser=True)
    client.force_login(UserFactory())

    assert client.get("/settings/who-did-what/").status_code == 403
