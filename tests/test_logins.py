"""Log-ins: listed, ended, run out; wrong passwords, locked names and the way back in."""

from datetime import timedelta
from io import StringIO
from types import SimpleNamespace

import pytest
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.test import Client, override_settings
from django.utils import timezone

from nursery.management.commands import let_in
from nursery.models import Login
from nursery.people.devices import device_in_words
from nursery.people.helpers import take_back_into_use, take_out_of_use
from nursery.people.sessions import forget_old, logins
from tests.factories import NurseryFactory, UserFactory

PASSWORD = "cuttings-in-june"
NEW = "four plain words here"
ANDROID = "Mozilla/5.0 (Linux; Android 14) AppleWebKit/537.36 Chrome/126.0 Mobile Safari/537.36"
pytestmark = pytest.mark.django_db


def log_in(account, agent=ANDROID, password=PASSWORD):
    client = Client(headers={"user-agent": agent})
    client.answer = client.post(
        "/accounts/login/", {"username": account.username, "password": password}
    )
    return client


def is_in(client):
    return client.get("/lots/").status_code == 200


def test_a_login_that_is_ended_asks_for_the_password_at_the_next_request():
    account = UserFactory(is_superuser=True)
    phone, desk = (
        log_in(account),
        log_in(account, agent="Mozilla/5.0 (Windows NT 10.0) Firefox/130.0"),
    )
    page = desk.get("/your-account/").text
    assert "Chrome on Android" in page and "Firefox on Windows" in page
    number = logins(account).get(device="Chrome on Android").number

    assert desk.post(f"/your-account/log-ins/{number}/end/").status_code == 302
    assert not is_in(phone) and is_in(desk)


def test_nobody_but_an_owner_ends_what_is_not_theirs():
    phone, seller = log_in(UserFactory(is_superuser=True)), log_in(UserFactory(role="seller"))
    number = Login.objects.get(account=phone.session["_auth_user_id"]).number
    sellers = Login.objects.get(account=seller.session["_auth_user_id"]).number

    assert seller.post(f"/your-account/log-ins/{number}/end/").status_code == 404
    assert seller.post(f"/settings/doors/{number}/end/").status_code == 403
    assert seller.get("/settings/doors/").status_code == 403
    assert phone.post(f"/settings/doors/{sellers}/end/").status_code == 302
    assert is_in(phone) and not is_in(seller)


def test_a_login_has_a_new_key_ends_at_logout_and_never_outlives_its_limits():
    account = UserFactory(role="seller")
    client = Client()
    client.get("/accounts/login/")
    before = client.session.session_key
    client.post("/accounts/login/", {"username": account.username, "password": PASSWORD})
    row = logins(account).get()
    assert row.session_key != before

    Login.objects.update(
        begun=timezone.now() - timedelta(days=29), seen=timezone.now() - timedelta(hours=1)
    )
    assert client.get("/lots/").status_code == 200
    row.refresh_from_db()
    assert timezone.now() - row.seen < timedelta(minutes=1)
    assert row.expire_date - timezone.now() < timedelta(days=1, minutes=1), "30 days from its begin"
    Login.objects.update(expire_date=timezone.now())
    assert client.get("/lots/").status_code == 302
    forget_old()
    assert not Login.objects.filter(pk=row.pk).exists()

    client = log_in(account)
    client.post("/accounts/logout/")
    assert not logins(account).exists()


def test_a_new_password_ends_the_other_log_ins_and_must_be_long_and_not_our_own():
    NurseryFactory(name="Quiet Bench Plants")
    account = UserFactory(is_superuser=True)
    here, there = log_in(account), log_in(account)
    sent = {"password": PASSWORD, "new_password1": NEW, "new_password2": NEW}

    for wrong in ("fourteen-signs", "four words " * 12, "quiet bench plants 1"):
        with pytest.raises(ValidationError):
            validate_password(wrong, account)
    validate_password("  ünïcode 🪴 and spaces  ", account)
    validate_password("123456789012345678902", account)
    refused = here.post("/your-account/password/", sent | {"password": "not-mine-at-all"})
    assert "This is not your password" in refused.text
    assert here.post("/your-account/password/", sent).status_code == 302
    assert is_in(here) and not is_in(there)
    assert is_in(log_in(account, password=NEW)) and not is_in(log_in(account))


@override_settings(AXES_ENABLED=True)
def test_too_many_wrong_tries_lock_a_name_alike_whether_it_is_known_or_not():
    NurseryFactory()
    owner, known = UserFactory(is_superuser=True), UserFactory(role="seller")
    owners = log_in(owner)
    nobody = SimpleNamespace(username="nobody-at-all")
    pages = [[log_in(one, password="wrong").answer for _ in range(9)] for one in (known, nobody)]

    assert [one.status_code for one in pages[0]] == [one.status_code for one in pages[1]]
    assert pages[0][-1].status_code == 429 and "a quarter of an hour" in pages[0][-1].text
    assert log_in(known).answer.status_code == 429, "even with the right one"
    told = owners.get("/settings/doors/").text
    assert known.username in told and "nobody-at-all" not in told
    owners.post(f"/settings/doors/{known.pk}/let-in/")
    assert is_in(log_in(known))


@override_settings(AXES_ENABLED=True)
def test_whoever_keeps_the_machine_lets_somebody_in_again(monkeypatch):
    account = UserFactory(role="seller", username="tansy")
    phone, said = log_in(account), StringIO()
    for _ in range(9):
        log_in(account, password="wrong")
    typed = iter([NEW, NEW])
    monkeypatch.setattr(let_in, "getpass", lambda _words: next(typed))

    call_command("let_in", "tansy", without_second_step=True, stdout=said)

    assert "Log-ins ended: 1" in said.getvalue() and not is_in(phone)
    assert is_in(log_in(account, password=NEW))
    with pytest.raises(CommandError, match=r"Nobody is called tanzy\. There are: tansy"):
        call_command("let_in", "tanzy")
    monkeypatch.setattr(let_in, "getpass", lambda _words: "too short")
    with pytest.raises(CommandError, match="Nothing was changed"):
        call_command("let_in", "tansy")
    assert is_in(log_in(account, password=NEW))


def test_who_is_taken_out_of_use_does_not_come_back_by_an_old_login():
    owner, helper = UserFactory(is_superuser=True), UserFactory(role="seller")
    phone = log_in(helper)

    take_out_of_use(helper=helper, by=owner)
    take_back_into_use(helper=helper, by=owner)

    assert not is_in(phone) and is_in(log_in(helper))


def test_a_device_is_told_coarsely():
    assert device_in_words(ANDROID) == "Chrome on Android"
    assert device_in_words("Mozilla/5.0 (iPhone; CPU) AppleWebKit Version/17 Safari/604") == (
        "Safari on iPhone"
    )
    assert device_in_words("curl/8") == ""
