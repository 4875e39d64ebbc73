"""An owner lets people in, says what they are, and lets them out again."""

import re
from datetime import datetime, timedelta
from urllib.parse import urlsplit

import pytest
from django.contrib.auth import get_user_model

from nursery.people import helpers
from nursery.people.roles import Role, role_of
from tests.factories import NurseryFactory, UserFactory

pytestmark = pytest.mark.django_db
User = get_user_model()
PAGE = "/settings/people/"
PASSWORD = {"new_password1": "moss-and-mist-7", "new_password2": "moss-and-mist-7"}


@pytest.fixture
def owner(client):
    NurseryFactory()
    user = UserFactory(is_superuser=True, username="hazel")
    client.force_login(user)
    return user


def let_in(client, name="wren", role="seller"):
    answer = client.post(f"{PAGE}add/", {"name": name, "role": role}, follow=True)
    found = re.search(r"http://testserver(/join/[^<]+)<", answer.text)
    return answer.text, found and found[1]


def test_somebody_is_let_in_chooses_a_password_and_logs_in(client, owner, django_user_model):
    text, link = let_in(client)
    assert "wren may come in as seller." in text and "not chosen a password yet" in text
    assert "/join/" not in client.get(PAGE).text, "a link is shown once"
    client.logout()

    assert "Welcome, wren" in client.get(link).text
    assert client.post(link, PASSWORD).url == "/accounts/login/"

    assert client.post(link, PASSWORD).status_code == 410, "a link serves once"
    assert client.login(request=None, username="wren", password=PASSWORD["new_password1"])
    assert client.get("/sell/").status_code == 200
    assert client.get(PAGE).status_code == 403


def test_a_weak_password_is_refused_and_the_link_still_holds(client, owner):
    _, link = let_in(client)

    weak = client.post(link, {"new_password1": "wren", "new_password2": "wren"})

    assert "too short" in weak.text
    assert client.post(link, PASSWORD).status_code == 302


def test_a_link_is_over_after_a_day_and_when_another_is_made(client, owner, monkeypatch):
    _, first = let_in(client)
    wren = User.objects.get(username="wren")
    shown = client.post(f"{PAGE}{wren.pk}/link/", follow=True).text
    second = re.search(r"http://testserver(/join/[^<]+)<", shown)[1]
    assert client.get(first).status_code == 410
    assert client.get(second).status_code == 200

    later = datetime.now() + timedelta(days=1, minutes=1)
    monkeypatch.setattr(helpers.tokens, "_now", lambda: later)
    assert client.get(second).status_code == 410
    assert client.get("/join/zz/not-a-secret/").status_code == 410


def test_letting_in_twice_makes_one_account_and_another_s_name_is_refused(client, owner):
    for _ in range(2):
        assert "wren may come in" in let_in(client)[0]
    UserFactory(username="Rowan")

    assert User.objects.filter(username="wren").count() == 1
    assert "has that name already" in let_in(client, "rowan")[0]
    assert "Choose what they may do" in client.post(f"{PAGE}add/", {"name": "ash"}).text
    assert User.objects.count() == 3


def test_a_role_is_changed_and_changed_back_and_is_the_only_one(client, owner):
    wren = UserFactory(role="seller", username="wren")

    text = client.post(f"{PAGE}{wren.pk}/role/grower/", follow=True).text

    assert "wren is grower now, and was seller." in text
    assert f"{PAGE}{wren.pk}/role/seller/" in text, "Undo"
    assert [group.name for group in wren.groups.all()] == ["grower"]
    client.post(f"{PAGE}{wren.pk}/role/owner/")
    wren.refresh_from_db()
    assert role_of(wren) == Role.OWNER and not wren.groups.exists()
    client.post(f"{PAGE}{wren.pk}/role/seller/")
    assert role_of(User.objects.get(pk=wren.pk)) == Role.SELLER
    assert client.post(f"{PAGE}{wren.pk}/role/admiral/").status_code == 404


def test_who_is_out_of_use_is_shown_out_at_once_and_may_come_back(client, owner):
    wren = UserFactory(role="viewer", username="wren")
    theirs = type(client)()
    theirs.force_login(wren)
    assert theirs.get("/").status_code == 200

    assert "may not come in" in client.post(f"{PAGE}{wren.pk}/out/", follow=True).text
    assert theirs.get("/").status_code == 302
    refused = client.post(f"{PAGE}{wren.pk}/link/", follow=True).text
    assert "Take the account back into use first" in refused
    client.post(f"{PAGE}{wren.pk}/back/")

    assert theirs.get("/").status_code == 302, "the login of before does not come back"
    theirs.force_login(User.objects.get(pk=wren.pk))
    assert theirs.get("/").status_code == 200


def test_nobody_changes_their_own_account_so_an_owner_always_stays(client, owner):
    for act in ("out", "role/viewer"):
        shown = client.post(f"{PAGE}{owner.pk}/{act}/", follow=True).text
        assert "Nobody changes their own account here" in shown
    other = UserFactory(is_superuser=True)
    helpers.change_role(helper=other, role=Role.VIEWER, by=owner)

    with pytest.raises(helpers.HelperRefused, match="Only an owner"):
        helpers.take_out_of_use(helper=owner, by=other)
    assert User.objects.get(pk=owner.pk).is_active and role_of(owner) == Role.OWNER


def test_the_link_s_page_keeps_nothing_and_names_no_one_to_a_guess(client, owner):
    _, link = let_in(client, "winter-wren")
    client.logout()

    answer = client.get(link)

    assert "no-store" in answer["Cache-Control"]
    assert answer["Referrer-Policy"] == "same-origin"
    assert "winter-wren" not in client.get(urlsplit(link).path[:-5] + "aaaa/").text
