"""A second step from setting it up to logging in by it, and a login ended from elsewhere."""

import re
import time
from base64 import b32decode

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE, WIDE
from tests.factories import NurseryFactory, UserFactory
from tests.phone_codes import code_of

pytestmark = [pytest.mark.sqlite, pytest.mark.django_db(transaction=True)]
PASSWORD = "cuttings-in-june"


def at_the_door(page):
    page.goto("/accounts/login/")
    page.fill("[name=username]", "tansy")
    page.fill("[name=password]", PASSWORD)
    page.get_by_role("button", name="Log in").click()


def test_a_second_step_is_set_up_used_and_another_login_ended(chromium, live_server):
    NurseryFactory()
    UserFactory(username="tansy", is_superuser=True)
    windows = [
        chromium.new_context(base_url=live_server.url, **kind).new_page() for kind in (PHONE, WIDE)
    ]
    phone, desk = windows
    complaints = []
    phone.on("console", lambda message: complaints.append(message.text))
    at_the_door(phone)
    phone.goto("/your-account/second-step/")
    letters = phone.locator("main code").inner_text().replace(" ", "")
    key = b32decode(letters)
    phone.fill("[name=code]", code_of(key, at=time.time() - 30))
    phone.fill("[name=password]", PASSWORD)
    phone.get_by_role("button", name="Switch it on").tap()
    expect(phone.locator(".codes li")).to_have_count(10)

    at_the_door(desk)
    desk.fill("[name=code]", code_of(key))
    desk.get_by_role("button", name="Log in").click()
    expect(desk).to_have_url(re.compile(r":\d+/$"))
    phone.goto("/your-account/")
    phone.get_by_role("button", name=re.compile("Log out Chrome")).tap()
    expect(phone.locator(".said")).to_contain_text("is logged out")
    desk.goto("/lots/")

    expect(desk).to_have_url(re.compile("/accounts/login/"))
    assert not complaints
    for window in windows:
        window.context.close()
