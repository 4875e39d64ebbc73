"""The second step at login: codes, recovery codes, and that nothing opens without it."""

import re
import time
from io import BytesIO
from urllib.parse import parse_qs, urlsplit

import pytest
import segno
import zxingcpp
from django_otp.plugins.otp_totp.models import TOTPDevice
from PIL import Image

from inventory.operations.nursery import ask_second_step
from nursery.people import second_step
from nursery.people.rights import PAGES
from tests.factories import NurseryFactory, UserFactory
from tests.phone_codes import code_of

PASSWORD = "cuttings-in-june"
# RFC 6238, Appendix B: time in seconds and code, for SHA-1 and this secret.
SECRET = b"12345678901234567890"
VECTORS = {
    59: "94287082",
    1111111109: "07081804",
    1111111111: "14050471",
    1234567890: "89005924",
    2000000000: "69279037",
    20000000000: "65353130",
}
pytestmark = pytest.mark.django_db


def with_step(**facts):
    """Return somebody with a second step whose phone has the secret of the RFC, and their codes."""
    account = UserFactory(is_superuser=True, **facts)
    before = code_of(SECRET, at=time.time() - 30)
    return account, second_step.switch_on(account=account, key=SECRET.hex(), code=before)


def give_password(client, account):
    return client.post(
        "/accounts/login/?next=/lots/",
        {"username": account.username, "password": PASSWORD, "next": "/lots/"},
    )


@pytest.mark.parametrize(("moment", "code"), VECTORS.items())
def test_a_phone_with_the_secret_of_the_rfc_is_let_in_by_its_codes(moment, code, monkeypatch):
    monkeypatch.setattr("django_otp.plugins.otp_totp.models.time.time", lambda: moment)
    phone = TOTPDevice(user=UserFactory(), key=SECRET.hex(), digits=8)

    assert code_of(SECRET, at=moment, digits=8) == code
    assert phone.verify_token(code)
    assert not phone.verify_token(code), "RFC 6238, 5.2: once only"


def test_the_picture_says_what_an_app_for_codes_expects():
    NurseryFactory(name="Quiet Bench Plants")
    address = second_step.address_for_app(SECRET.hex(), UserFactory(username="hanna"))
    picture = BytesIO()
    segno.make(address, error="m", micro=False).save(picture, kind="png", scale=4, border=4)
    read = zxingcpp.read_barcode(Image.open(picture)).text

    assert urlsplit(read)[:3] == ("otpauth", "totp", "/Quiet%20Bench%20Plants:hanna")
    assert parse_qs(urlsplit(read).query) == {
        "secret": ["GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"],
        "issuer": ["Quiet Bench Plants"],
        "algorithm": ["SHA1"],
        "digits": ["6"],
        "period": ["30"],
    }


def test_the_password_alone_opens_nothing_but_the_page_for_the_code(client):
    account, _ = with_step()

    assert give_password(client, account).url == "/accounts/login/code/"
    closed = [client.get(one).url for one in ("/", "/lots/", "/your-account/second-step/")]
    assert all(url.startswith("/accounts/login/?next=") for url in closed), closed
    answer = client.post("/accounts/login/code/", {"code": code_of(SECRET)})
    assert answer.url == "/lots/"
    assert client.get("/lots/").status_code == 200


def test_a_code_counts_once_and_another_must_wait_after_a_wrong_one():
    account, _ = with_step()
    now = code_of(SECRET)

    assert second_step.refusal_of(account=account, code=now) == ""
    assert "used before" in second_step.refusal_of(account=account, code=now)
    assert "Wait 1 second" in second_step.refusal_of(account=account, code=now)


def test_a_recovery_code_lets_in_once_and_only_its_own_account():
    (account, codes), (other, _) = with_step(), with_step()

    assert len(codes) == 10
    assert second_step.refusal_of(account=other, code=codes[0])
    assert second_step.refusal_of(account=account, code=codes[0].replace(" ", "-")) == ""
    assert second_step.codes_left(account) == 9
    assert second_step.refusal_of(account=account, code=codes[0])


def test_setting_up_needs_the_password_and_a_code_and_shows_the_codes_once(client):
    NurseryFactory()
    account = UserFactory(is_superuser=True)
    client.force_login(account)
    page = client.get("/your-account/second-step/").text
    letters = re.search(r"<code>([A-Z2-7 ]+)</code>", page)[1].replace(" ", "")
    key = client.session["second_step_key"]
    assert second_step.in_letters(key) == letters
    code = code_of(bytes.fromhex(key))

    wrong = client.post("/your-account/second-step/", {"code": code, "password": "not-mine"})
    assert "This is not your password" in wrong.text
    assert not second_step.has_second_step(account), "nothing counts before it is proved"
    right = client.post("/your-account/second-step/", {"code": code, "password": PASSWORD})
    shown = re.findall(r"<code>(\d{4} \d{4} \d{4})</code>", right.text)
    assert len(shown) == 10 and "no-store" in right["Cache-Control"]
    assert client.get("/your-account/second-step/").text.count(shown[0]) == 0


def test_switching_off_asks_for_both_and_is_refused_where_everybody_must(client):
    account, codes = with_step()
    NurseryFactory()
    client.force_login(account)
    both = {"password": PASSWORD, "code": codes[1]}

    client.post("/your-account/second-step/off/", both | {"password": "x"})
    ask_second_step(asked=True)
    session = client.session
    session["second_step"] = True
    session.save()
    client.post("/your-account/second-step/off/", both | {"code": codes[2]})
    assert second_step.has_second_step(account)
    ask_second_step(asked=False)
    client.post("/your-account/second-step/off/", both | {"code": codes[3]})
    assert not second_step.has_second_step(account)


def test_where_everybody_is_asked_who_has_none_is_led_to_it(client):
    NurseryFactory(asks_second_step=True)
    client.force_login(UserFactory(role="seller"))

    for address in ("/", "/sell/data.json", "/your-account/"):
        assert client.get(address).url == "/your-account/second-step/"
    assert client.get("/your-account/second-step/").status_code == 200
    assert client.get("/list/").status_code in (200, 404)
    assert PAGES["second-step"].read == "signed in"
