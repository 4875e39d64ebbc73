"""Asking for plants on the web: what gets through, what does not, and what becomes of it."""

import re
import time
from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from django.core.signing import Signer, b62_encode
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.models import LotBalance
from nursery.visitor import origin_of
from sales import operations
from sales.errors import SaleRefused
from sales.forms.requests import LATEST, SIGNER
from sales.models import Hold, HoldLine, PlantRequest, PublicList, RequestedPlants
from sales.operations.requests import MOST_OF_ALL, MOST_OF_ONE
from sales.queries.public_list import kept_lines, public_list
from tests.entering import as_grower
from tests.factories import (
    BuyerFactory,
    NurseryFactory,
    PlantFactory,
    UserFactory,
    give_price,
    lot_holding,
)
from tests.test_public_list import switch_on

pytestmark = pytest.mark.django_db
ASK = "/list/ask/"


@pytest.fixture
def lot():
    NurseryFactory(email="grower@bench.example")
    found = lot_holding(60, plant=PlantFactory(name="Taxus ×media 'Hicksii'"))
    give_price(found, "21.25")
    switch_on(takes_requests=True)
    return found


def stamp(age=60, request_id=None):
    """Return the stamp of a form that was opened so many seconds ago."""
    when = b62_encode(int(time.time() - age))
    return Signer.sign(SIGNER, f"{request_id or uuid4()}:{when}")


def filled(lot, number=12, **more):
    who = {"name": "Wren Ashby", "email": "wren@ashby.example", "stamp": stamp()}
    return who | {f"p{lot.plant_id}-{lot.container_id}": number} | more


def ask(**more):
    wishes = [operations.Wish(line, 3) for line in kept_lines(public_list())]
    facts = {"name": "Wren", "email": "wren@ashby.example", "origin": "a", "request_id": uuid4()}
    return operations.ask_for_plants(**{"wishes": wishes} | facts | more)


def test_a_request_is_taken_down_and_takes_nothing(client, lot):
    answer = client.post(ASK, filled(lot, message="For May"), follow=True)
    asked = PlantRequest.objects.get()

    assert "Thank you" in answer.content.decode()
    assert (asked.name, asked.message) == ("Wren Ashby", "For May")
    line = asked.lines.get()
    assert (line.quantity, line.plant, str(line.unit_price)) == (12, lot.plant, "21.250000")
    assert LotBalance.objects.get(lot=lot).on_hand == 60 and not HoldLine.objects.exists()


def test_the_grower_is_told_by_mail(client, lot, mailoutbox, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        client.post(ASK, filled(lot, name="Wren\tAshby"))
    (mail,) = mailoutbox

    assert mail.to == ["grower@bench.example"] and mail.reply_to == ["wren@ashby.example"]
    assert "Wren Ashby asks for plants" in mail.subject
    assert "12 × Taxus ×media 'Hicksii', #1" in mail.body


def test_the_form_shows_each_line_and_is_kept_by_no_cache(client, lot):
    answer = client.get(ASK)
    text = answer.content.decode()

    assert f'name="p{lot.plant_id}-{lot.container_id}"' in text and "Hicksii" in text
    assert "no-store" in answer["Cache-Control"] and "noindex" in answer["X-Robots-Tag"]
    assert ASK in client.get("/list/").content.decode()


def test_nobody_asks_where_that_is_off(client, lot):
    switch_on(takes_requests=False)
    assert client.get(ASK).status_code == 404
    assert ASK not in client.get("/list/").content.decode()
    switch_on(takes_requests=True, is_on=False)

    assert client.post(ASK, filled(lot)).status_code == 404
    assert not PlantRequest.objects.exists()


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"name": ""}, "This field is required"),
        ({"email": ""}, "so that we can answer"),
        ({"email": "wren at ashby"}, "valid email"),
        ({"message": "x" * 2001}, "at most 2000"),
        ({"stamp": "forged"}, "press again"),
        ({"stamp": stamp(age=LATEST.total_seconds() + 60)}, "press again"),
    ],
)
def test_what_cannot_be_answered_is_refused_and_what_was_typed_stays(client, lot, wrong, said):
    text = client.post(ASK, filled(lot, phone="555 0177" if "name" in wrong else "") | wrong)
    text = text.content.decode()

    assert said in text and "Nothing was sent yet" in text
    assert 'value="12"' in text
    assert not PlantRequest.objects.exists()


def test_a_form_filled_in_within_a_moment_is_asked_about_once_more(client, lot):
    sent = filled(lot, stamp=stamp(age=0))

    assert "press again" in client.post(ASK, sent).content.decode()
    assert client.post(ASK, sent | {"stamp": stamp(age=4)}).status_code == 302


def test_a_page_left_open_too_long_is_sent_by_a_second_press(client, lot):
    old = filled(lot, stamp=stamp(age=LATEST.total_seconds() + 60))
    text = client.post(ASK, old).content.decode()
    new = re.search(r'name="stamp" value="([^"]+)"', text)[1]

    assert SIGNER.unsign(new) and new != old["stamp"]


@pytest.mark.parametrize("number", ["-1", "1.5", "many", "1000000"])
def test_a_number_that_is_none_is_refused(client, lot, number):
    assert "Nothing was sent yet" in client.post(ASK, filled(lot, number)).content.decode()
    assert not PlantRequest.objects.exists()


def test_nothing_asked_for_is_refused_and_a_message_alone_is_not(client, lot):
    assert "how many plants you want" in client.post(ASK, filled(lot, "")).content.decode()
    client.post(ASK, filled(lot, "", message="Do you grow yews in #5?"))

    assert PlantRequest.objects.get().lines.count() == 0


def test_a_machine_is_thanked_and_nothing_is_written(client, lot):
    text = client.post(ASK, filled(lot, website="http://pills.example"), follow=True)

    assert "Thank you" in text.content.decode()
    assert not PlantRequest.objects.exists()


def test_a_second_press_is_the_same_request(client, lot):
    sent = filled(lot, stamp=stamp(request_id=UUID(int=7)))
    client.post(ASK, sent)
    client.post(ASK, sent)

    assert PlantRequest.objects.count() == 1


def test_one_address_asks_only_so_often_in_an_hour(lot):
    for _ in range(MOST_OF_ONE):
        ask()
    with pytest.raises(SaleRefused, match="within the hour"):
        ask()
    assert ask(origin="b")
    PlantRequest.objects.update(received_at=timezone.now() - timedelta(minutes=61))

    assert ask()


def test_all_together_ask_only_so_often_in_an_hour(lot):
    for number in range(MOST_OF_ALL):
        ask(origin=str(number))

    with pytest.raises(SaleRefused, match="call us"):
        ask(origin="another")


def test_an_address_is_not_kept_and_a_house_counts_as_one(rf, settings):
    def of(address, **headers):
        return origin_of(rf.get("/", REMOTE_ADDR=address, headers=headers))

    assert "192.0.2.7" not in of("192.0.2.7") and len(of("192.0.2.7")) == 64
    assert of("192.0.2.7") != of("192.0.2.8")
    # 2001:db8::/32 and 192.0.2.0/24 are for examples: RFC 3849 and RFC 5737.
    assert of("2001:db8::1") == of("2001:db8::2") != of("2001:db8:0:1::1")
    assert of("192.0.2.7", **{"X-Forwarded-For": "192.0.2.9"}) == of("192.0.2.7")
    settings.BEHIND_TLS = True
    forged = {"X-Forwarded-For": "192.0.2.66, 192.0.2.9"}
    assert of("127.0.0.1", **forged) == of("192.0.2.9")


def test_a_buyer_asks_by_their_link_at_their_prices(client, lot):
    give_price(lot, "17.00", list="landscaper")
    buyer = BuyerFactory(email="yard@ashby.example", language="de")
    link = operations.make_buyer_link(buyer=buyer, last_on=timezone.localdate())
    address = f"/list/for/{link.token}/ask/"
    text = client.get(address).content.decode()
    assert "Pflanzen anfragen" in text and 'value="yard@ashby.example"' in text
    client.post(address, filled(lot))
    asked = PlantRequest.objects.get()

    assert asked.buyer == buyer and asked.language == "de"
    assert str(asked.lines.get().unit_price) == "17.000000"
    operations.stop_buyer_link(link=link)
    assert client.post(address, filled(lot)).status_code == 404


def test_what_is_typed_is_text_wherever_it_shows(client, lot):
    nasty = "<script>alert(1)</script>"
    client.post(ASK, filled(lot, name=nasty, message=nasty))
    pages = ("/", "/requests/", f"/requests/{PlantRequest.objects.get().pk}/")
    as_grower(client)

    for page in pages:
        text = client.get(page).content.decode()
        assert "&lt;script&gt;" in text and "<script>alert" not in text


def test_a_request_shows_on_today_and_becomes_a_hold(client, lot):
    buyer = BuyerFactory(email="wren@ashby.example")
    asked = ask()
    as_grower(client)
    assert "Answer requests" in client.get("/").content.decode()
    text = client.get(f"/requests/{asked.pk}/").content.decode()
    address = re.search(r'href="(/holds/new/[^"]+)"', text)[1].replace("&amp;", "&")
    form = client.get(address, follow=True).content.decode()

    assert str(buyer) in text and "60 free" in text and "mailto:wren%40ashby.example" in text
    assert f'<option value="{buyer.pk}" selected>' in form
    assert f'name="n-{lot.plant_id}-{lot.container_id}" value="3"' in form


def test_a_held_request_waits_no_longer_until_the_hold_is_undone(client, lot):
    buyer, asked = BuyerFactory(email="wren@ashby.example"), ask()
    as_grower(client)
    address = f"/requests/{asked.pk}/"
    found = re.search(r'href="(/holds/new/[^"]+)"', client.get(address).content.decode())[1]
    form = client.get(found.replace("&amp;", "&"), follow=True).context["form"]
    filled_in = {name: form[name].value() for name in form.fields}
    client.post("/holds/new/", {name: value for name, value in filled_in.items() if value})
    hold = Hold.objects.get(buyer=buyer)

    assert hold.asked == asked and hold.get_absolute_url() in client.get(address).content.decode()
    assert "Answer requests" not in client.get("/").content.decode()
    client.post(f"/hold-changes/{hold.changes.get().pk}/undo/")
    assert "Answer requests" in client.get("/").content.decode()


def test_somebody_unknown_is_written_down_with_what_they_gave(client, lot):
    asked = ask(phone="555 0177")
    as_grower(client)
    text = client.get(f"/requests/{asked.pk}/").content.decode()
    address = re.search(r'href="(/buyers/add/[^"]+)"', text)[1].replace("&amp;", "&")
    form = client.get(address).content.decode()

    assert all(f'value="{value}"' in form for value in ("Wren", "wren@ashby.example", "555 0177"))


def test_a_request_is_put_away_and_back_by_undo(client, lot):
    asked = ask()
    as_grower(client)
    away = client.post(f"/requests/{asked.pk}/put-away/", follow=True).content.decode()
    assert "is put away" in away and f"/requests/{asked.pk}/back/" in away
    assert "Answer requests" not in client.get("/").content.decode()
    assert "Wren" in client.get("/requests/", {"all": "yes"}).content.decode()
    client.post(f"/requests/{asked.pk}/back/")

    assert "Answer requests" in client.get("/").content.decode()


def came(days_ago, **more):
    """Take down a request, as it would be had it come so many days ago."""
    asked = ask()
    day = timezone.now() - timedelta(days=days_ago)
    PlantRequest.objects.filter(pk=asked.pk).update(received_at=day, **more)
    return asked


def test_a_stranger_is_forgotten_once_the_days_of_the_owner_are_over(lot):
    """180 days by itself: common practice."""
    today = timezone.localdate()
    kept = {
        came(179),
        came(400, put_away_on=today - timedelta(days=180)),
        came(400, buyer=BuyerFactory()),
    }
    gone = came(181), came(400, put_away_on=today - timedelta(days=181))
    assert operations.forget_requests() == len(gone) and operations.forget_requests() == 0
    assert set(PlantRequest.objects.all()) == kept
    assert not RequestedPlants.objects.filter(request__in=[one.pk for one in gone]).exists()

    operations.change_public_list(request_days=90)
    assert operations.forget_requests() == 2


def test_a_hold_keeps_the_request_it_answers_and_outlives_it(lot):
    today, asked = timezone.localdate(), came(400)
    hold = Hold.objects.create(buyer=BuyerFactory(), made_on=today, until=today, asked=asked)
    assert operations.forget_requests() == 0

    operations.erase_buyer(buyer=hold.buyer, request_id=uuid4())
    hold.refresh_from_db()
    assert hold.asked is None and not PlantRequest.objects.exists()


@pytest.mark.parametrize("days", [0, 3651])
def test_a_request_is_kept_for_a_day_at_least_and_ten_years_at_most(lot, client, days):
    as_grower(client)
    page = client.post("/settings/list/", {"request_days": days}).content.decode()
    assert "Ensure this value is" in page and public_list().request_days == 180
    with pytest.raises(IntegrityError), transaction.atomic():
        PublicList.objects.update(request_days=days)


def test_requests_are_read_by_those_who_may(client, lot):
    asked = ask()
    pages = ("/requests/", f"/requests/{asked.pk}/")
    assert [client.get(page).status_code for page in pages] == [302, 302]
    client.force_login(UserFactory(role="grower"))

    assert [client.get(page).status_code for page in pages] == [403, 403]
    client.force_login(UserFactory(role="viewer"))
    assert client.post(f"/requests/{asked.pk}/put-away/").status_code == 403


@pytest.mark.parametrize("wrong", [{"name": ""}, {"email": ""}])
def test_the_database_refuses_a_request_of_nobody(lot, wrong):
    facts = {"name": "Wren", "email": "w@a.example", "origin": "a", "received_at": timezone.now()}
    with pytest.raises(IntegrityError), transaction.atomic():
        PlantRequest.objects.create(**facts | wrong, request_id=uuid4())


@pytest.mark.parametrize("wrong", [{"quantity": 0}, {"unit_price": -1}])
def test_the_database_refuses_a_request_for_none(lot, wrong):
    facts = {"request": ask(), "plant": lot.plant, "container": lot.container, "quantity": 1}
    with pytest.raises(IntegrityError), transaction.atomic():
        RequestedPlants.objects.create(**facts | wrong)


def test_too_much_is_refused_by_the_verb_too(lot):
    line = kept_lines(public_list())[0]
    for wishes, message in (
        ([operations.Wish(line, 1)] * 61, ""),
        ([], "x" * 2001),
        ([operations.Wish(line, 0)], ""),
        ([], " "),
    ):
        with pytest.raises(SaleRefused):
            ask(wishes=wishes, message=message)
    with pytest.raises(SaleRefused, match="your name"):
        ask(name=" ")
