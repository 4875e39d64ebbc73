"""Read a table that somebody kept by hand: CSV in any dress, or every sheet of an XLSX.

Whatever is in the file, the answer is rows of plain text or a refusal that says what would
be right. Nothing is worked out that a cell says: a formula is its text, or its last value.
"""

import codecs
import csv
import hashlib
import io
import math
import unicodedata
import warnings
import zipfile
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from itertools import islice

LARGEST_FILE = 5_000_000
MOST_ROWS = 20_000
MOST_COLUMNS = 60
MOST_CELLS = 400_000
MOST_SHEETS = 20
LONGEST_CELL = 500
LIMITS = f"at most 5 MB and {MOST_ROWS:,} rows"
# A packed sheet may grow a thousandfold; what it would become is asked before it is opened.
LARGEST_UNPACKED = 40_000_000
MOST_PARTS = 1_000
# Beyond the rows that are taken, look so far for others, to tell a long sheet from a tall one.
LOOKED_AT = 100_000
DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
LOOKED_AT_FOR_DELIMITER = 40
MOST_LINES_IN_A_CELL = 20
SAVE_ANEW = "Open it in the program it comes from and save it as XLSX or as CSV."
KINDS = (
    (b"%PDF", "That is a PDF, which holds a picture of a table."),
    (b"\xd0\xcf\x11\xe0", "That is a spreadsheet of the old kind (XLS)."),
    (b"\x89PNG", "That is a picture."),
    (b"\xff\xd8\xff", "That is a picture."),
)


class Unreadable(ValueError):
    """What is wrong with a file, and what would be right."""


@dataclass(frozen=True)
class Sheet:
    """One sheet: its name and its rows. `rows` is None where it is over the limit."""

    name: str
    rows: list[list[str]] | None


@dataclass(frozen=True)
class SheetFile:
    """What a file holds, the hash of its bytes, and how it was read, in words."""

    sheets: list[Sheet]
    digest: str
    told: str


def read_file(file) -> SheetFile:
    """Read an uploaded file, or raise Unreadable. Its size is asked before it is read."""
    if file.size > LARGEST_FILE:
        raise Unreadable(
            f"The file has {file.size / 1_000_000:,.1f} MB; {LIMITS} can be read. "
            "Keep only the sheet with the plants, without pictures, and send that."
        )
    content = file.read()
    sheets, told = _sheets_of(content)
    if not any(sheet.rows != [] for sheet in sheets):
        raise Unreadable("The file is empty. Choose the one with your plants in it.")
    return SheetFile(sheets, hashlib.sha256(content).hexdigest(), told)


def _sheets_of(content: bytes) -> tuple[list[Sheet], str]:
    for beginning, what in KINDS:
        if content.startswith(beginning):
            raise Unreadable(f"{what} {SAVE_ANEW}")
    if content.startswith(b"PK"):
        return _workbook(content), "an XLSX spreadsheet"
    text, encoding = decoded(content)
    rows, delimiter = rows_of(text)
    told = f"text in {encoding}, its columns apart by {DELIMITERS[delimiter]}"
    return [Sheet("", _within_limits(rows))], told


def decoded(content: bytes) -> tuple[str, str]:
    """Return the text of a file and the name of its encoding, guessed where it is not told."""
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return _decoded_as(content, "utf-16", "UTF-16")
    if content[:200].count(0) > len(content[:200]) / 5:
        # Western text in UTF-16 has a zero in every other byte.
        low_first = content[1:200:2].count(0) > content[0:200:2].count(0)
        return _decoded_as(content, "utf-16-le" if low_first else "utf-16-be", "UTF-16")
    try:
        return content.decode("utf-8-sig"), "UTF-8"
    except UnicodeDecodeError:
        return _decoded_as(content, "cp1252", "Windows-1252 (a guess)")


def _decoded_as(content, codec, name):
    try:
        text = content.decode(codec)
    except UnicodeDecodeError:
        raise Unreadable(f"The file cannot be read as text. {SAVE_ANEW}") from None
    strange = sum(unicodedata.category(letter) in ("Cc", "Cn", "Co") for letter in text[:4000])
    lines = sum(letter in "\t\r\n" for letter in text[:4000])
    if strange - lines > len(text[:4000]) / 20:
        raise Unreadable(f"The file is no table of text. {SAVE_ANEW}")
    return text, name


def rows_of(text: str) -> tuple[list[list[str]], str]:
    """Return the rows of text of one table, and what its columns are kept apart by."""
    delimiter = delimiter_of(text)
    return list(islice(_parsed(text, delimiter), LOOKED_AT)), delimiter


def delimiter_of(text: str) -> str:
    """Choose what divides the most rows into the same number of cells."""
    first_lines = "\n".join(text.splitlines()[:LOOKED_AT_FOR_DELIMITER])

    def fit(delimiter):
        try:
            widths = Counter(len(row) for row in _parsed(first_lines, delimiter))
        except Unreadable:
            return 0, 0
        widths = {width: number for width, number in widths.items() if width > 1}
        return max(((number, width) for width, number in widths.items()), default=(0, 0))

    return max(DELIMITERS, key=fit)


def _parsed(text: str, delimiter: str) -> Iterator[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        for row in reader:
            if any(cell.count("\n") > MOST_LINES_IN_A_CELL for cell in row):
                raise Unreadable(
                    f"A quotation mark before line {reader.line_num} is never closed, so all "
                    "after it is one cell. Close it or take it out."
                )
            yield [plain_text(cell) for cell in row]
    except csv.Error as error:
        raise Unreadable(
            f"Line {reader.line_num} cannot be read as a row of a table: {error}. {SAVE_ANEW}"
        ) from None


def _workbook(content: bytes) -> list[Sheet]:
    _refuse_bomb(content)
    from openpyxl import load_workbook

    try:
        with warnings.catch_warnings():
            # It tells of colours and checks that it leaves out; a reader of text misses none.
            warnings.simplefilter("ignore")
            book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
            return _sheets_in(book)
    except Unreadable:
        raise
    except Exception as error:
        # A damaged workbook breaks the reader wherever it likes; to a person it is all one.
        raise Unreadable(f"The spreadsheet is damaged. {SAVE_ANEW}") from error


def _sheets_in(book) -> list[Sheet]:
    sheets, cells = [], 0
    for page in book.worksheets[:MOST_SHEETS]:
        rows = ([_cell_text(cell) for cell in row] for row in _rows_in(page))
        taken = _within_limits(rows)
        cells += sum(map(len, taken or ()))
        if cells > MOST_CELLS:
            raise Unreadable(
                f"The sheets hold over {MOST_CELLS:,} cells. Keep only the sheet with the plants."
            )
        sheets.append(Sheet(plain_text(page.title), taken))
    return sheets


def _rows_in(page) -> Iterable[tuple]:
    return islice(page.iter_rows(max_col=MOST_COLUMNS, values_only=True), LOOKED_AT)


def _refuse_bomb(content: bytes) -> None:
    """Ask the directory of a packed file what it would become, before anything is unpacked."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            names = packed.namelist()
            parts = [packed.getinfo(name) for name in names if name.endswith((".xml", ".rels"))]
            if "xl/workbook.xml" not in names:
                raise Unreadable(f"That is a packed file, but no XLSX spreadsheet. {SAVE_ANEW}")
            if sum(part.file_size for part in parts) > LARGEST_UNPACKED or len(parts) > MOST_PARTS:
                raise Unreadable(
                    "Unpacked, the spreadsheet is over 40 MB, far more than a notebook of "
                    f"{MOST_ROWS:,} rows. Keep only the sheet with the plants."
                )
            heads = [packed.open(part).read(2_000) for part in parts]
    except Unreadable:
        raise
    except Exception as error:
        # zipfile raises many things for a damaged file, all of which mean the same.
        raise Unreadable(f"The spreadsheet is damaged. {SAVE_ANEW}") from error
    # No program writes these; they let a small part grow without end.
    if any(b"<!DOCTYPE" in head or b"<!ENTITY" in head or b"\0" in head for head in heads):
        raise Unreadable(f"The spreadsheet holds what no spreadsheet needs. {SAVE_ANEW}")


def _within_limits(rows: Iterable[list[str]]) -> list[list[str]] | None:
    """Return the rows without the empty ones at the end, or None where they are too many."""
    taken, last = [], 0
    for number, row in enumerate(rows, start=1):
        if any(row):
            if number > MOST_ROWS:
                return None
            last = number
        if number <= MOST_ROWS:
            taken.append(_without_empty_end(row[:MOST_COLUMNS]))
    return taken[:last]


def _without_empty_end(row: list[str]) -> list[str]:
    width = max((place for place, cell in enumerate(row, start=1) if cell), default=0)
    return row[:width]


def _cell_text(value) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return _number_text(value)
    if isinstance(value, datetime) and not (value.hour or value.minute):
        return value.date().isoformat()
    if isinstance(value, datetime | date):
        return value.isoformat(" ") if isinstance(value, datetime) else value.isoformat()
    return plain_text(str(value))


def _number_text(value: float) -> str:
    """Write a number with a decimal point, never with three places, which could be thousands."""
    if not math.isfinite(value):
        return ""
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    places = len(text.partition(".")[2])
    return f"{text}0" if places == 3 else text


def plain_text(text: str) -> str:
    """Return text in one line, without the signs that cannot be seen."""
    seen = "".join(
        " " if unicodedata.category(letter).startswith("C") else letter
        for letter in unicodedata.normalize("NFC", text[: 2 * LONGEST_CELL])
    )
    return " ".join(seen.split())[:LONGEST_CELL]
