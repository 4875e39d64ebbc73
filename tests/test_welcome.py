"""The first page of an empty ledger."""

import pytest
from django.contrib.auth import get_user_model

from inventory.models import Container, Nursery

ANSWERS = {
    "name": "Hazel Bank",
    "currency": "EUR",
    "units": "metric",
    "containers": ["#1", "tray"],
    "username": "ann",
    "password1": "moss-and-slow-rain-42",
    "password2": "moss-and-slow-rain-42",
}


def test_every_page_leads_to_the_first_one_while_nobody_is_here(client, db):
    assert client.get("/").headers["Location"] == "/welcome/"
    assert client.get("/accounts/login/").headers["Location"] == "/welcome/"


def test_the_first_page_makes_everything_and_logs_in(client, db):
    answer = client.post("/welcome/", ANSWERS)

    assert answer.headers["Location"] == "/"
    assert Nursery.current().name == "Hazel Bank"
    assert Nursery.current().currency == "EUR"
    assert Nursery.current().units == "metric"
    in_use = Container.objects.filter(in_use=True)
    assert {row.code for row in in_use} == {"#1", "tray"}
    assert client.get("/").wsgi_request.user.username == "ann"


def test_the_first_page_is_gone_once_somebody_is_here(client, db):
    get_user_model().objects.create_user("ann", password="moss-and-slow-rain-42")

    assert client.get("/welcome/").status_code == 404
    assert client.post("/welcome/", ANSWERS).status_code == 404
    assert get_user_model().objects.count() == 1


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"password2": "another"}, "password"),
        ({"containers": []}, "Tick at least one container."),
        ({"currency": "XXX"}, "XXX is not one of the available choices"),
        ({"name": ""}, "This field is required."),
    ],
)
def test_a_wrong_answer_keeps_what_was_typed_and_writes_nothing(client, db, wrong, sentence):
    page = client.post("/welcome/", ANSWERS | wrong)

    assert page.status_code == 200
    assert sentence in page.text
    assert 'value="ann"' in page.text
    assert not Nursery.objects.exists()
    assert not get_user_model().objects.exists()


def test_a_visitor_from_elsewhere_is_not_let_in(client, db):
    assert client.get("/welcome/", REMOTE_ADDR="192.0.2.7").status_code == 403
    assert client.post("/welcome/", ANSWERS, REMOTE_ADDR="192.0.2.7").status_code == 403
    by_proxy = client.post("/welcome/", ANSWERS, headers={"X-Forwarded-For": "192.0.2.7"})
    assert by_proxy.status_code == 403
    assert not get_user_model().objects.exists()


def test_the_token_lets_a_visitor_in_and_nothing_else_does(client, db, settings):
    settings.WELCOME_TOKEN = "a-token"

    assert client.get("/welcome/").status_code == 403
    assert client.get("/welcome/?token=wrong").status_code == 403
    page = client.get("/welcome/?token=a-token", REMOTE_ADDR="192.0.2.7")
    assert 'name="token" value="a-token"' in page.text
    answer = client.post("/welcome/", ANSWERS | {"token": "a-token"}, REMOTE_ADDR="192.0.2.7")
    assert answer.headers["Location"] == "/"


def test_no_page_allows_a_script_from_elsewhere(client, db):
    policy = client.get("/welcome/").headers["Content-Security-Policy"]

    assert "script-src 'self'" in policy
    assert "unsafe" not in policy


def test_the_first_page_works_in_a_browser(phone, transactional_db):
    problems = []
    phone.on("console", lambda message: problems.append(message.text))
    phone.goto("/")
    phone.fill("[name=name]", "Hazel Bank")
    phone.fill("[name=username]", "ann")
    phone.fill("[name=password1]", "moss-and-slow-rain-42")
    phone.fill("[name=password2]", "moss-and-slow-rain-42")
    phone.click("text=Open the ledger")

    phone.wait_for_url("**/")
    assert Nursery.current().name == "Hazel Bank"
    width = phone.evaluate("document.documentElement.scrollWidth")
    assert width <= 390, "no page scrolls sideways"
    assert not problems
