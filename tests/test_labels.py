"""Lot tags and pot labels: at their place on the sheet, with a code that can be read."""

import io
from decimal import Decimal
from itertools import groupby
from typing import NamedTuple
from uuid import uuid4

import pytest
import zxingcpp
from django.urls import reverse
from pypdf import PdfReader
from pypdfium2 import PdfDocument

from inventory.models import Lot
from inventory.operations import pot_up
from sales.labels.fitting import measures_on
from sales.labels.grid import COMMON
from sales.labels.paper import labels_pdf
from sales.labels.tags import tags_of
from tests.factories import (
    DAY,
    NurseryFactory,
    PlantFactory,
    UserFactory,
    container,
    give_price,
    lot_holding,
    sell_from,
)

pytest.importorskip(
    "weasyprint", reason="the libraries that set PDFs are missing", exc_type=OSError
)
pytestmark = pytest.mark.django_db
SERVED = "http://ledger.example:8000"
YEW = {
    "name": "Taxus ×media 'Hicksii'",
    "common_name": "Hicks yew",
    "poisonous": "Poisonous in every part. Keep from children and animals.",
}
# As a laser printer sets them.
DOTS_TO_THE_INCH = 300
DOTS = DOTS_TO_THE_INCH / Decimal("25.4")


@pytest.fixture
def nursery():
    return NurseryFactory(paper="A4")


@pytest.fixture
def yew(nursery):
    lot = lot_holding(40, "25-TX-0123", plant=PlantFactory(**YEW))
    give_price(lot, "14.50")
    return lot


@pytest.fixture
def grower(client, nursery):
    client.force_login(UserFactory(is_superuser=True))
    return client


def sheet_of(lot, number, grid, *, start=1, price=True, passport=False):
    tags = tags_of({lot: number}, SERVED, with_price=price, with_passport=passport)
    return labels_pdf(tags, grid, start=start)


def text_of(pdf):
    pages = PdfReader(io.BytesIO(pdf)).pages
    return [" ".join(page.extract_text().split()) for page in pages]


def codes_in(pdf):
    """Read every code of the first page, as a scanner does from a print."""
    with PdfDocument(pdf) as sheet:
        image = sheet[0].render(scale=DOTS_TO_THE_INCH / 72, grayscale=True).to_pil()
    return zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)


class Word(NamedTuple):
    """A word on a page, and how far its edges are from the page's, in millimetres."""

    text: str
    left: Decimal
    top: Decimal
    bottom: Decimal


def words_in(pdf) -> list[Word]:
    """Read every word of the first page."""
    with PdfDocument(pdf) as sheet:
        height, text = sheet[0].get_height(), sheet[0].get_textpage()
        letters = [
            (text.get_text_range(n, 1), text.get_charbox(n, loose=True))
            for n in range(text.count_chars())
        ]
    return [
        word_of(list(run), height)
        for is_space, run in groupby(letters, key=lambda letter: letter[0].isspace())
        if not is_space
    ]


def word_of(letters, height) -> Word:
    # PDF counts in points, 72 to the inch, from the foot of the page.
    lefts, bottoms, _, tops = zip(*(box for _, box in letters), strict=True)
    edges = (min(lefts), height - max(tops), height - min(bottoms))
    return Word(
        "".join(letter for letter, _ in letters),
        *(Decimal(edge) / 72 * Decimal("25.4") for edge in edges),
    )


def test_a_label_says_the_plant_the_container_the_lot_and_the_price(yew):
    (text,) = text_of(sheet_of(yew, 1, COMMON["a4-3x8"]))

    for words in (*YEW.values(), "#1", "25-TX-0123", "$14.50"):
        assert words in text
    assert "14.50" not in text_of(sheet_of(yew, 1, COMMON["a4-3x8"], price=False))[0]


# The symbol: ISO/IEC 18004, written by segno and read by zxing-cpp, two programs of other people.
# 0.3 mm is what may be seen between a label and its print (common practice).
@pytest.mark.parametrize("key", ["a4-3x8", "a4-5x13", "letter-3x10", "roll-57x32"])
def test_every_code_on_a_sheet_is_read_and_lies_where_it_should(key, yew):
    grid = COMMON[key]
    found = codes_in(sheet_of(yew, grid.on_a_sheet, grid))

    assert [one.text for one in found] == [f"{SERVED}/s/25-TX-0123/"] * grid.on_a_sheet
    size = measures_on(grid, with_passport=False)
    # Version 3 with its quiet zone is 29 + 8 modules wide; the code begins after four.
    quiet = size.code / 37 * 4
    asked = {
        (left + grid.width - size.padding - size.code + quiet, top + size.padding + quiet)
        for left, top in grid.corners
    }
    printed = [one.position.top_left for one in found]
    seen = {(Decimal(at.x) / DOTS, Decimal(at.y) / DOTS) for at in printed}
    assert all(any(near(one, other) for other in seen) for one in asked)


def near(one, other):
    return all(abs(a - b) <= Decimal("0.3") for a, b in zip(one, other, strict=True))


def test_words_stand_at_the_label_s_edge(yew):
    grid = COMMON["a4-3x8"]
    words = [word for word in words_in(sheet_of(yew, 24, grid)) if word.text == "#1"]

    padding = measures_on(grid, with_passport=False).padding
    millimetres = [(word.left, word.top) for word in words]
    down = millimetres[0][1] - grid.corners[0][1]
    assert len(words) == 24
    for at, (left, top) in zip(millimetres, grid.corners, strict=True):
        assert near(at, (left + padding, top + down))


def test_a_begun_sheet_goes_on_at_the_label_asked_for(yew):
    grid = COMMON["a4-3x8"]
    found = codes_in(sheet_of(yew, 3, grid, start=20))

    tops = sorted(Decimal(one.position.top_left.y) / DOTS for one in found)
    # Label 20 is the second of the seventh row, 22 the first of the eighth.
    assert [int((top - Decimal("4.5")) / 36) + 1 for top in tops] == [7, 7, 8]
    assert len(text_of(sheet_of(yew, 6, grid, start=20))) == 2


def test_a_registered_nursery_prints_plant_passports(yew, nursery):
    nursery.passport_country, nursery.passport_registration = "DE", "NW-123456"
    nursery.language = "de"
    nursery.save()

    (text,) = text_of(sheet_of(yew, 1, COMMON["a4-3x8"], passport=True))

    # Regulation (EU) 2016/2031, Annex VII, part A (check values, section 7): the words in an
    # official language and in English, A botanical name, B registration, C code, D origin.
    assert "Pflanzenpass / Plant Passport" in text
    for field in ("A Taxus ×media 'Hicksii'", "B DE-NW-123456", "C 25-TX-0123", "D DE"):
        assert field in text


LONG = {
    "name": "Hydrangea paniculata 'Long Flowering Moonlight Terrace'",
    "common_name": "Panicle hydrangea Moonlight Terrace",
    "poisonous": "Poisonous in every part, above all the seeds. Keep from children, horses and "
    "other animals; wear gloves when pruning. Call a poison centre if eaten.",
}


@pytest.mark.parametrize(("key", "passport"), [("a4-3x8", True), ("a4-3x8", False)])
def test_long_words_are_set_smaller_and_none_is_lost(key, passport, nursery):
    nursery.passport_country, nursery.passport_registration = "DE", "NW-123456"
    nursery.save()
    lot = lot_holding(3, "25-HYD-PAN-0123B", plant=PlantFactory(**LONG))
    give_price(lot, "1234.50")
    grid = COMMON[key]
    pdf = sheet_of(lot, 1, grid, passport=passport)

    assert [one.text for one in codes_in(pdf)] == [f"{SERVED}/s/{lot.code}/"]
    words = words_in(pdf)
    assert {"eaten.", "$1,234.50"} <= {word.text for word in words}
    assert max(word.bottom for word in words) <= grid.top + grid.height
    if passport:
        top_of_passport = min(word.top for word in words if word.text == "Passport")
        assert max(word.bottom for word in words if word.text == "eaten.") <= top_of_passport


def asked_for(client, **data):
    address = reverse("sales:labels-sheet")
    return client.get(address, {"stock": "a4-3x8", "start": 1} | data)


def test_the_page_makes_the_sheet_and_remembers_the_labels(grower, yew):
    page = grower.get(reverse("sales:labels"), {"lot": yew.pk}).content.decode()
    assert f'name="n-{yew.pk}" value="40"' in page

    answer = asked_for(grower, **{f"n-{yew.pk}": 5, "stock": "a4-2x7", "price": "on"})
    again = grower.get(reverse("sales:labels"), {"lot": yew.pk}).content.decode()

    assert answer["Content-Type"] == "application/pdf"
    assert '<option value="a4-2x7" selected>' in again
    assert "ended at label 5 of 14" in again


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"start": 25}, "The sheet has 24 labels."),
        ({"number": 501}, "less than or equal to 500"),
        ({"number": 0}, "Write beside a lot how many labels it gets."),
        ({"stock": "a4-5x13", "passport": "on"}, "could not be read"),
    ],
)
def test_what_cannot_be_printed_is_said_and_kept(typed, said, grower, yew, nursery):
    nursery.passport_country, nursery.passport_registration = "DE", "1"
    nursery.save()
    number = typed.pop("number", 3)

    page = asked_for(grower, **{f"n-{yew.pk}": number} | typed).content.decode()

    assert said in page
    assert f'name="n-{yew.pk}" value="{number}"' in page


def test_many_lots_are_chosen_by_the_list_or_a_batch(grower, yew):
    other = lot_holding(7, "L2", batch="B-2")
    sell_from(lot_holding(3, "L3"), 3)

    def lots(**asked):
        return [lot.code for lot in grower.get(reverse("sales:labels"), asked).context["lots"]]

    assert lots() == ["25-TX-0123", "L2"]
    assert lots(plant="taxus") == ["25-TX-0123"]
    assert lots(batch=other.movements_in.get().batch_id) == ["L2"]
    each = grower.get(reverse("sales:labels"), {"each": "plant"}).content.decode()
    assert f'name="n-{other.pk}" value="7"' in each


def test_what_was_just_potted_up_is_offered_as_many_labels(grower, nursery):
    tray = lot_holding(52, "T", size="tray")
    size = {"container": container("#1"), "to_lot": "P", "on": DAY, "request_id": uuid4()}
    pot_up(lot=tray, quantity=40, **size)
    potted = Lot.objects.get(code="P")
    address = reverse("inventory:lot", args=[potted.pk])

    page = grower.get(address).content.decode()
    sell_from(potted, 1)

    assert "Print 40 labels" in page and f"?n-{potted.pk}=40" in page
    assert "Print 40 labels" not in grower.get(address).content.decode()


def test_own_labels_are_measured_and_offered(grower, yew):
    typed = {"name": "Stakes", "paper": "roll", "width": "90", "height": "25", "in_use": "on"}
    typed |= {"columns": 1, "rows": 1, "left": 0, "top": 0, "across": 0, "down": 0}
    request = {"request_id": "0f8fad5b-d9cb-469f-a165-70867728950e"}

    grower.post(reverse("sales:label-stock-add"), typed | request)
    page = grower.get(reverse("sales:labels"), {"lot": yew.pk}).content.decode()
    wrong = grower.post(reverse("sales:label-stock-add"), typed | request | {"width": "3"})

    assert "Stakes: A roll, 90 × 25 mm" in page
    assert wrong.status_code == 200 and 'value="3"' in wrong.content.decode()


def test_who_may_not_change_measures_cannot(client, nursery):
    client.force_login(UserFactory())

    assert client.get(reverse("sales:label-stock-list")).status_code == 200
    assert client.post(reverse("sales:label-stock-add")).status_code == 403
