"""Purchases from a file: each row's fate, all or none, and never twice."""

from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from inventory.models import Closing, SupplyEntry
from tests.entering import as_grower, page, sent
from tests.factories import NurseryFactory
from tests.supply_scenes import supply, there

pytestmark = pytest.mark.django_db

GOOD = """date,supply,quantity,amount,supplier,note
2025-03-03,Pots #1,100,40.00,Marrowgate Pot Works,
2025-03-04,bark,1000.5,60,,"two bags, torn"
"""


@pytest.fixture
def grower(client):
    NurseryFactory()
    supply()
    supply("Bark", unit="litre", category="medium")
    return as_grower(client)


def send(client, text, **more):
    """Send a file, and return what the page says."""
    content = text if isinstance(text, bytes) else text.encode()
    form = sent(file=SimpleUploadedFile("bought.csv", content), **more)
    return client.post(page("supply-import"), form, follow=True).content.decode()


def test_every_row_of_a_right_file_is_taken_in(grower):
    assert "2 purchases taken in" in send(grower, GOOD)

    pots, bark = (entry.supply for entry in SupplyEntry.objects.order_by("date"))
    assert there(pots) == (100, Decimal("40.00"))
    assert there(bark) == (Decimal("1000.5"), Decimal("60.00"))
    assert bark.entries.get().note == "two bags, torn"


@pytest.mark.parametrize("encoding", ["cp1252", "utf-16"])
def test_a_file_with_semicolons_in_another_encoding_is_taken_in(grower, encoding):
    text = "date;supply;quantity;amount;supplier\n2025-03-03;Pots #1;100;40.00;Töpferei Grün\n"

    assert "1 purchase taken in" in send(grower, text.encode(encoding))
    assert SupplyEntry.objects.get().supplier == "Töpferei Grün"


def test_the_same_file_twice_writes_nothing(grower):
    send(grower, GOOD)

    assert "known already; nothing was written" in send(grower, "\ufeff" + GOOD)
    assert SupplyEntry.objects.count() == 2


def test_a_longer_file_brings_only_what_is_new(grower):
    send(grower, GOOD)
    again = GOOD + "2025-03-03,Pots #1,100,40.00,Marrowgate Pot Works,\n"

    assert "1 purchase taken in. 2 were known already" in send(grower, again)
    assert SupplyEntry.objects.count() == 3, "the like purchase is a second one"


def test_checking_first_tells_each_rows_fate_and_writes_nothing(grower):
    text = send(grower, GOOD, check="1")

    assert "2 of 2 rows would be taken in" in text
    assert text.count(">bought</span>") == 2
    assert not SupplyEntry.objects.exists()


@pytest.mark.parametrize(
    ("row", "right"),
    [
        ("2025-03-05,Pot #1,1,1", "did you mean Pots #1?"),
        ("2025-03-05,Lava,1,1", "add it to the list first"),
        ("2025-03-05,,1,1", "write the name of a supply"),
        ("05.03.2025,Bark,1,1", "write year-month-day"),
        ("2999-03-05,Bark,1,1", "has not come yet"),
        ("2025-03-05,Bark,,1", "is not a number"),
        ("2025-03-05,Bark,0,1", "more than nothing"),
        ("2025-03-05,Bark,-4,1", "nothing or more"),
        ("2025-03-05,Bark,1,€5", "is not a number"),
        ("2025-03-05,Bark,1,NaN", "is not a number"),
        ("2025-03-05,Bark,1,0.0000001", "is not a number"),
        ("2025-03-05,Bark,1,1," + "x" * 81, "at most 80 letters"),
        ("2025-03-05,Bark,1,1,a,b,c", "put text with a comma in quotes"),
    ],
)
def test_one_wrong_row_keeps_all_out_and_says_what_would_be_right(grower, row, right):
    text = send(grower, f"{GOOD}{row}\n").replace("&#x27;", "'")

    assert right in text
    assert "1 of 3 rows cannot be taken, so none was" in text
    assert text.count("right, waits for the others") == 2
    assert not SupplyEntry.objects.exists()


@pytest.mark.parametrize(
    ("content", "right"),
    [
        (b"", "empty"),
        (b"date,supply,quantity,amount\n", "0 purchases"),
        (b"date,supply,quantity\n2025-03-05,Bark,1\n", "must name the columns"),
        (b"date,supply,quantity,amount,colour\n", "must name the columns"),
        (b"date,supply,quantity,amount,date\n", "must name the columns"),
        (b"date,supply,quantity,amount\n2025-03-05,\xff,1,1\n", "is not on the list"),
        (b"\x00\x01\x02\x03" * 500, "no table of text"),
        (b'date,supply,quantity,amount\n2025-03-05,"Bark,1,1\n', "as CSV"),
        (b"x" * 1_000_001, "over 1 MB"),
    ],
)
def test_a_file_that_cannot_be_read_is_told(grower, content, right):
    assert right in send(grower, content)
    assert not SupplyEntry.objects.exists()


def test_a_closed_day_keeps_the_whole_file_out(grower):
    from datetime import date
    from uuid import uuid4

    Closing.objects.create(kind="close", closed_to=date(2025, 3, 3), request_id=uuid4())

    assert "closed" in send(grower, GOOD)
    assert not SupplyEntry.objects.exists()
