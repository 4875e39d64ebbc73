"""What stands on the nursery's paper: written, refused, kept, shown."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image, ImageFile

from inventory.models import Nursery
from nursery.address import countries, printed_address
from nursery.kept_files import keep_file, kept_file
from sales.errors import SaleRefused
from sales.operations import change_letterhead
from tests.factories import BuyerFactory, NurseryFactory, UserFactory, lot_holding, sell_from

pytestmark = pytest.mark.django_db
PAGE = "/settings/paper/"
REQUEST = "5f4b1a52-3f0a-4f7e-9a51-0d8f5a6d3c11"
# The example account of ISO 13616 for Germany and a BIC of the right shape, from memory.
IBAN = "DE89 3704 0044 0532 0130 00"
TYPED = {
    "request_id": REQUEST,
    "street": "9 Wicket Lane",
    "city": "Sedge Hollow",
    "postcode": "44090",
    "region": "OH",
    "country": "US",
    "language": "en",
    "credit_prefix": "C",
}


@pytest.fixture(autouse=True)
def nursery():
    return NurseryFactory()


@pytest.fixture
def grower(client):
    client.force_login(UserFactory(is_superuser=True))
    return client


def picture(kind="PNG", size=(40, 30)):
    out = io.BytesIO()
    Image.new("RGB", size, "white").save(out, kind)
    return out.getvalue()


def test_the_page_is_closed_to_who_may_not_change_the_nursery(client):
    assert client.get(PAGE).status_code == 302
    client.force_login(UserFactory())

    assert client.get(PAGE).status_code == 403
    assert client.post(PAGE, TYPED).status_code == 403


def test_what_is_printed_is_written_and_a_second_press_changes_nothing(grower):
    for _ in range(2):
        assert grower.post(PAGE, TYPED | {"iban": IBAN, "licence_number": "N-7"}).status_code == 302

    nursery = Nursery.objects.get()
    assert nursery.printed_address == "9 Wicket Lane\nSedge Hollow, OH 44090"
    assert (nursery.iban, nursery.licence_number) == (IBAN.replace(" ", ""), "N-7")
    assert nursery.name == "Quiet Bench Plants", "what is not on the page stays"


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("iban", "DE89 3704 0044 0532 0130 01", "not the letters of an IBAN"),
        ("bic", "FALLOW", "8 or 11"),
        ("invoice_prefix", "2026", "cannot begin a number"),
        ("country", "XX", "Select a valid choice"),
        ("passport_country", "DE", "give both"),
        ("passport_registration", "SN-1", "give both"),
        ("language", "tlh", "Select a valid choice"),
        ("email", "hello", "valid email"),
    ],
)
def test_what_cannot_be_is_refused_and_what_was_typed_is_kept(grower, field, typed, said):
    answer = grower.post(PAGE, TYPED | {field: typed})

    assert answer.status_code == 200
    text = answer.content.decode()
    assert said in text
    assert "9 Wicket Lane" in text
    assert Nursery.objects.get().street == ""


def test_a_passport_outside_the_union_is_refused():
    with pytest.raises(SaleRefused, match="member state"):
        change_letterhead(passport_country="US", passport_registration="12")


@pytest.mark.parametrize(("kind", "ending"), [("PNG", "png"), ("JPEG", "jpg")])
def test_a_logo_is_kept_by_what_is_in_it(grower, kind, ending):
    file = SimpleUploadedFile("logo.exe", picture(kind))

    grower.post(PAGE, TYPED | {"logo": file})

    name = Nursery.objects.get().logo
    assert name.endswith(f".{ending}")
    assert kept_file(name).read_bytes() == picture(kind)
    shown = grower.get(reverse("sales:logo"))
    assert shown.headers["Content-Type"] == f"image/{kind.lower()}"
    assert b"".join(shown.streaming_content) == picture(kind)
    assert reverse("sales:logo") in grower.get(PAGE).content.decode()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no PNG or JPEG"),
        (picture("GIF"), "no PNG or JPEG"),
        (picture()[:40], "no PNG or JPEG"),
        (picture()[:33] + bytes([255] * 10) + picture()[33:], "no PNG or JPEG"),
        (b"x" * (1024 * 1024 + 1), "larger than 1 MB"),
        (picture(size=(4001, 2)), "4001 by 2"),
    ],
    ids=["svg", "gif", "cut off", "spoilt", "large", "wide"],
)
@pytest.mark.parametrize("takes_parts", [True, False])
def test_what_is_no_logo_is_refused(grower, content, said, takes_parts, monkeypatch):
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", takes_parts)
    text = grower.post(PAGE, TYPED | {"logo": SimpleUploadedFile("a.png", content)}).content

    assert said in text.decode()
    assert Nursery.objects.get().logo == ""


def test_a_logo_can_be_left_out_again_and_old_documents_keep_it(grower):
    change_letterhead(logo=picture())
    document = sell_from(lot_holding(5), 1, buyer=BuyerFactory())

    grower.post(PAGE, TYPED | {"no_logo": "on"})

    assert Nursery.objects.get().logo == ""
    assert kept_file(document.issued_by["logo"]).exists()
    assert grower.get(reverse("sales:logo")).status_code == 404


def test_only_names_of_kept_files_are_opened():
    assert keep_file(b"1", "png") == keep_file(b"1", "png")
    for name in ("../secret-key", "a.png", "", f"{'0' * 64}.png/.."):
        with pytest.raises(ValueError, match="kept file"):
            kept_file(name)


@pytest.mark.parametrize(
    ("facts", "home", "language", "lines"),
    [
        # The order of town and postcode: Universal Postal Union, from memory.
        ({"street": "1 Low Rd", "city": "Thistle", "region": "OH", "postcode": "44", "country":
          "US"}, "US", "en", "1 Low Rd\nThistle, OH 44"),
        ({"street": "Lindenweg 4", "city": "Leipzig", "postcode": "04109", "country": "DE"},
         "FR", "fr", "Lindenweg 4\n04109 Leipzig\nAllemagne"),
        ({"city": "Thistle", "address": "not this"}, "", "en", "Thistle"),
        ({"address": "Two lines\nof my own", "country": "US"}, "DE", "en",
         "Two lines\nof my own"),
        ({}, "", "en", ""),
    ],
)  # fmt: skip
def test_an_address_has_one_source(facts, home, language, lines):
    assert printed_address(facts, home=home, language=language) == lines


def test_the_countries_are_those_of_iso_3166_1():
    """ISO 3166-1 lists 249 countries and areas, from memory."""
    assert len(countries()) == 249
    assert ("DE", "Germany") in countries()
