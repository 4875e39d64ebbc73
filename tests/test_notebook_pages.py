"""Bring a notebook in: the file, its columns, each row's fate, mending, Undo, and who may."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction

from inventory.models import ImportDraft, Lot, LotBalance, Operation, Plant
from inventory.operations import keep_draft
from nursery.sheet_file import read_file
from sales.models import Price
from tests.entering import as_grower, page, undo_last
from tests.factories import NurseryFactory, UserFactory, lot_holding
from tests.untidy_notebook import as_csv, as_xlsx, untidy

pytestmark = pytest.mark.django_db
HEAD = ["Plant", "Pot", "How many", "Lot code", "Since", "Price"]


@pytest.fixture
def grower(client):
    NurseryFactory()
    return as_grower(client)


def send(client, content, name="field.csv"):
    """Send a file, and return its draft."""
    client.post(page("notebook"), {"file": SimpleUploadedFile(name, content)})
    return ImportDraft.objects.order_by("pk").last()


def matched(client, draft, **more):
    """Keep the guessed columns, and return the page of rows as text."""
    columns = {f"column_{place}": name for place, name in draft.matching.items()}
    form = {"heading_row": draft.heading_row, "counted_on": date.today().isoformat(), **columns}
    answer = client.post(page("notebook-columns", draft.key), form | more, follow=True)
    return answer.content.decode().replace("&#x27;", "'")


def rows(client, *lines):
    """Send a table with the usual headings, and return its draft and the page of rows."""
    draft = send(client, as_csv([HEAD, *lines], "utf-8", ","))
    return draft, matched(client, draft)


def on_hand():
    return sum(LotBalance.objects.values_list("on_hand", flat=True))


def bring_in(client, draft, **more):
    answer = client.post(page("notebook-bring-in", draft.key), more, follow=True)
    return answer.content.decode().replace("&#x27;", "'")


@pytest.mark.parametrize("as_file", [as_csv, as_xlsx])
def test_an_untidy_spreadsheet_comes_in_whole_and_is_undone_as_one(grower, as_file):
    notebook = untidy()
    draft = send(grower, as_file(notebook.rows), f"field.{as_file.__name__[3:]}")
    text = matched(grower, draft)
    assert "Is “thuja occ. smaragd” this plant?" in text and "Left out: 13" in text
    address = page("notebook-rows", draft.key)
    asked = grower.get(address).context["questions"]
    likely = {question.name: question.offers[0][0] for question in asked if question.is_free}
    [pot] = [question.name for question in asked if question.name not in likely]
    grower.post(address, likely | {pot: "#3"})

    text = bring_in(grower, draft)

    assert f"{notebook.plants:,} plants of field" in text
    assert on_hand() == notebook.plants
    assert Plant.objects.count() == 5 and not ImportDraft.objects.exists()
    undo_last(grower)
    assert on_hand() == 0


def test_a_second_press_of_the_button_brings_nothing_in_twice(grower):
    draft, _ = rows(grower, ["Thuja plicata", "#1", "4", "", "2023", "9.50"])
    bring_in(grower, draft)

    assert "brought in already; nothing more was written" in bring_in(grower, draft)
    assert Operation.objects.count() == 1
    assert Price.objects.get().amount == Decimal("9.50")
    assert Lot.objects.get().began_on == date(2023, 4, 1)


def test_the_same_file_again_is_the_same_draft_and_once_in_it_is_warned_of(grower):
    content = as_csv([HEAD, ["Thuja plicata", "#1", "4", "", "", ""]])
    first = send(grower, content)
    assert send(grower, content).pk == first.pk and ImportDraft.objects.count() == 1
    matched(grower, first)
    bring_in(grower, first)

    form = {"file": SimpleUploadedFile("field.csv", content)}
    text = grower.post(page("notebook"), form, follow=True).content.decode()

    assert "This very file was brought in on" in text
    assert send(grower, content).key != first.key


@pytest.mark.parametrize(
    ("cells", "fate"),
    [
        (["Thuja plicata", "#1", "sold out", "", "", ""], "no number: “sold out”"),
        (["Thuja plicata", "#1", "a few", "", "", ""], "is not a whole number of plants"),
        (["Thuja plicata", "#1", "0", "", "", ""], "nothing stands there"),
        (["Total", "", "9", "", "", ""], "a total row"),
        (["", "", "9", "", "", ""], "a total row"),
        (["", "#1", "3", "", "", ""], "Which plant is it?"),
        (["Thuja plicata", "#1", "10-12", "", "", ""], "is not a whole number of plants"),
        (["Thuja plicata", "bucket", "3", "", "", ""], "Which container is “bucket”?"),
        (["Thuja plicata", "#1", "3", "", "03/04/2024", ""], "what stands first?"),
        (["Thuja plicata", "#1", "3", "", "2099", ""], "not before the day of counting"),
        (["Thuja plicata", "#1", "3", "USED", "", ""], "Lot USED is in the ledger already"),
        (["Thuja plicata", "#1", "3", "TWICE", "", ""], "Lot TWICE stands in row 2 too"),
        (["Thuja plicata", "#1", "3", "x" * 25, "", ""], "at most 24 letters"),
        (["=HYPERLINK(1)", "#1", "3", "", "", ""], "as a formula does"),
        (["Thuja plicata", "#1", "3", "", "", "dear"], "is no amount of money"),
        (["Thuja plicata", "#1", "3", "", "", "9.9999"], "cannot be paid in coins"),
    ],
)
def test_each_row_has_a_fate_and_its_reason(grower, cells, fate):
    lot_holding(1, "USED")
    draft, text = rows(grower, ["Taxus baccata", "#1", "9", "TWICE", "", ""], cells)

    if fate not in text:
        text = grower.get(page("notebook-rows", draft.key) + "?show=out").content.decode()
    assert fate in text
    assert Lot.objects.filter(plant__name="Thuja plicata").count() == 0


def test_rows_are_mended_in_place_and_nothing_typed_is_lost(grower):
    draft, _ = rows(grower, ["Thuja plicata", "#1", "10-12", "", "", ""])
    address = page("notebook-rows", draft.key)

    grower.post(address, {"row-2-quantity": "about twelve"})
    assert "about twelve" in grower.get(address).content.decode()
    row = {"plant": "Thuja plicata", "container": "#1"}
    grower.post(page("notebook-row", draft.key, 2), {**row, "quantity": "12"})

    assert "comes in" in grower.get(address).content.decode()
    bring_in(grower, draft)
    assert Lot.objects.get().balance.on_hand == 12


def test_rows_that_still_need_somebody_are_left_out_only_where_told(grower):
    draft, _ = rows(
        grower,
        ["Thuja plicata", "#1", "4", "", "", ""],
        ["Taxus baccata", "bucket", "5", "", "", ""],
    )

    assert "still need you" in bring_in(grower, draft)
    assert not Operation.objects.exists()
    bring_in(grower, draft, rest="1")
    assert on_hand() == 4


def test_names_that_were_compared_with_no_other_are_told_of(grower):
    letters = "abcdefghijk"
    named = [f"Qo{a}{b}{c} plant" for a in letters for b in letters for c in letters][:1_003]
    _, text = rows(grower, *([name, "#1", "1", "", "", ""] for name in named))

    assert "only the 1,000 that stand in the most rows were compared" in text
    assert "The other 3 may be names you have" in text


def test_columns_must_name_plants_and_numbers_each_once(grower):
    draft = send(grower, as_csv([HEAD, ["Thuja plicata", "#1", "4", "", "", ""]]))

    text = matched(grower, draft, column_2="", column_1="plant")

    assert "Say which column holds how many plants" in text
    assert "Plant is another column already" in text


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"x" * 5_000_001, "at most 5 MB and 20,000 rows"),
        (b"Thuja;1\n" * 20_001, "Divide the table in two"),
        (b"%PDF-1.4", "That is a PDF"),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_with_what_would_be_right(grower, content, reason):
    answer = grower.post(page("notebook"), {"file": SimpleUploadedFile("a.csv", content)})

    assert reason in answer.content.decode()
    assert not ImportDraft.objects.exists()


def test_a_draft_is_its_owners_and_is_forgotten_at_a_press(grower, client):
    draft, _ = rows(grower, ["Thuja plicata", "#1", "4", "", "", ""])
    grower.post(page("notebook-forget", draft.key))
    assert not ImportDraft.objects.exists()

    draft, _ = rows(grower, ["Thuja plicata", "#1", "4", "", "", ""])
    other = as_grower(client)
    assert other.get(page("notebook-columns", draft.key)).status_code == 404
    assert other.get(page("notebook-rows", draft.key)).status_code == 404


def test_only_who_may_enter_may_bring_in(client):
    NurseryFactory()
    UserFactory()
    assert "login" in client.get(page("notebook")).url
    client.force_login(UserFactory())

    assert client.get(page("notebook")).status_code == 403
    for name in ("notebook-bring-in", "notebook-forget"):
        assert client.post(page(name, uuid4())).status_code == 403


def test_the_database_keeps_one_draft_for_each_file():
    user = UserFactory()
    file = read_file(SimpleUploadedFile("a.csv", b"Plant,Qty\nThuja,4\n"))
    draft = keep_draft(file=file, file_name="a.csv", by=user)

    draft.pk = None
    with pytest.raises(IntegrityError), transaction.atomic():
        draft.save(force_insert=True)


def test_an_empty_ledger_leads_there(grower):
    for address in ("/", page("growing"), "/help/"):
        assert page("notebook") in grower.get(address).content.decode()
