"""Read any file as rows of text, or refuse it with what would be right."""

import io
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nursery import sheet_file
from nursery.sheet_file import MOST_ROWS, Unreadable, read_file
from tests.untidy_notebook import as_csv, as_xlsx

ROWS = [["Pflanze", "Menge"], ["Buche, grün", "3"], ["Späth", "4"]]
WORKBOOK = as_xlsx(ROWS)


def read(content, name="x.csv"):
    return read_file(SimpleUploadedFile(name, content))


def rows(content):
    return read(content).sheets[0].rows


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_text_is_read_whatever_its_encoding_and_delimiter(encoding, delimiter):
    assert rows(as_csv(ROWS, encoding, delimiter)) == ROWS


def test_the_file_says_how_it_was_read():
    assert read(as_csv(ROWS, "cp1252")).told == (
        "text in Windows-1252 (a guess), its columns apart by semicolons"
    )


def test_every_sheet_is_read_and_numbers_keep_their_point():
    file = read(as_xlsx([["Plant", "Since", "Cost"], ["Thuja", "2024-04-12", "12"]]))

    assert [sheet.name for sheet in file.sheets] == ["Sheet", "Field"]
    assert file.sheets[1].rows[1] == ["Thuja", "2024-04-12", "12"]
    assert sheet_file._cell_text(3.125) == "3.1250", "never mistaken for thousands"


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"", "is empty"),
        (b"\n\n ; \n", "is empty"),
        (b"%PDF-1.7 nothing", "PDF"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1", "old kind"),
        (b"\x89PNG\r\n", "picture"),
        (b"PK\x03\x04 broken", "damaged"),
        (b"\x00\x01\x02\x03" * 500, "no table of text"),
        (b'a,b\n"never closed' + b"\nmore" * 50, "never closed"),
        (b"x" * 5_000_001, "at most 5 MB"),
    ],
)
def test_what_cannot_be_read_is_told_with_what_would_be_right(content, reason):
    with pytest.raises(Unreadable, match=reason):
        read(content)


def packed(**parts):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name.replace("__", "/").replace("_xml", ".xml"), content)
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (packed(word__document_xml=b"<a/>"), "no XLSX"),
        (packed(xl__workbook_xml=b"<a/>", xl__big_xml=b"0" * 41_000_000), "over 40 MB"),
        (packed(xl__workbook_xml=b"<!DOCTYPE a [<!ENTITY b 'c'>]><a/>"), "no spreadsheet needs"),
        (packed(xl__workbook_xml=b"<a/>"), "damaged"),
    ],
)
def test_a_packed_file_is_judged_before_it_is_opened(content, reason):
    assert len(content) < 100_000
    with pytest.raises(Unreadable, match=reason):
        read(content, "x.xlsx")


def test_more_rows_than_the_limit_are_told_and_empty_ones_do_not_count():
    line = b"Thuja;1\n"

    assert len(rows(line * MOST_ROWS + b";\n" * 500)) == MOST_ROWS
    assert rows(line * 100_000) is None


def test_what_cannot_be_seen_is_taken_out_and_long_cells_are_cut():
    assert rows(b"a\x00b;c\x07d;" + b"x" * 900 + b"\n" + b"plain;text;here\n" * 40)[0] == [
        *("a b", "c d"),
        "x" * 500,
    ]


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(st.binary(max_size=400) | st.text(max_size=200).map(str.encode))
def test_any_bytes_get_an_answer_or_a_refusal(content):
    for beginning in (b"", b"PK\x03\x04"):
        try:
            found = read(beginning + content)
        except Unreadable as error:
            assert str(error).endswith(".")
        else:
            cells = [cell for sheet in found.sheets for row in sheet.rows for cell in row]
            assert all(cell.isprintable() and len(cell) <= 500 for cell in cells)


@settings(max_examples=20, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_a_workbook_with_a_wrong_byte_gets_an_answer_or_a_refusal(data):
    content = bytearray(WORKBOOK)
    for _ in range(3):
        place = data.draw(st.integers(0, len(content) - 1))
        content[place] = data.draw(st.integers(0, 255))
    try:
        assert read(bytes(content)).sheets
    except Unreadable as error:
        assert str(error).endswith(".")
