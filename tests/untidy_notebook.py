"""An untidy spreadsheet of 300 rows, as a grower may keep one, and what is true of it."""

import io
from dataclasses import dataclass
from datetime import datetime

HEADS = ["Bed", "What (Latin)", "Pot", "No. of plants", "Since", "cost each", "remarks"]
# (as written, what it is): the first spelling is the usual one, the others need the grower.
SPELLINGS = (
    ("Thuja occidentalis 'Smaragd'", "thuja occ. smaragd", "Thuja ocidentalis 'Smaragd'"),
    ("Taxus ×media 'Hicksii'", "Taxus x media Hicksii", 'Taxus × media "Hicksii"'),
    ("Buxus sempervirens 'Green Gem'", "buxus semprevirens green gem", "Buxus 'Green Gem'"),
    ("Hydrangea paniculata 'Pale Lantern'", "Hydrangea pan. pale lantern", ""),
    ("Juniperus horizontalis 'Wiltonii'", "juniperus hor. wiltonii", ""),
)
POTS = ("#1", "1", "3", "2.8 L", "gift pot")
SINCE = ("25.04.2024", "03.05.2024", "2024-04-12", "12 May 2023", "spring 2023", "2022", "1+1", "")
BEDS = 6
EACH_BED = 50


@dataclass
class Untidy:
    """The rows as text, and how many plants stand in those that are plants."""

    rows: list[list[str]]
    plants: int = 0


def untidy() -> Untidy:
    """Return six beds of fifty rows: headings, plants, an empty row, a total each."""
    notebook = Untidy([["Stock of the back field"], HEADS])
    for bed in range(1, BEDS + 1):
        in_bed = 0
        for number in range(EACH_BED - 2):
            kind = SPELLINGS[(bed + number) % len(SPELLINGS)]
            name = (kind[number % 12] if number % 12 < len(kind) else "") or kind[0]
            many = 3 + (7 * number + bed) % 40
            pot = POTS[4] if number == 20 else POTS[number % 4]
            cost = f"{1 + number % 5},{number % 10}0" if number % 3 else ""
            written = f"ca. {many}" if number == 9 else str(many)
            cells = [f"Bed {bed}", name, pot, written, SINCE[number % len(SINCE)], cost, ""]
            notebook.rows.append(cells)
            in_bed += many
        notebook.rows.append([""] * len(HEADS))
        notebook.rows.append(["", "Total bed", "", str(in_bed), "", "", ""])
        notebook.plants += in_bed
    return notebook


def as_csv(rows: list[list[str]], encoding: str = "cp1252", delimiter: str = ";") -> bytes:
    """Write rows as text with semicolons, as a spreadsheet in a land of decimal commas does."""
    import csv

    out = io.StringIO(newline="")
    csv.writer(out, delimiter=delimiter).writerows(rows)
    return out.getvalue().encode(encoding)


def as_xlsx(rows: list[list[str]], *, sheet: str = "Field") -> bytes:
    """Write rows as the second sheet of a workbook, numbers as numbers, ISO days as days."""
    from openpyxl import Workbook

    book = Workbook()
    book.active.append(["nothing to see here"])
    page = book.create_sheet(sheet)
    for row in rows:
        page.append([_typed(cell) for cell in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _typed(cell):
    if cell.isdigit():
        return int(cell)
    if len(cell) == 10 and cell[4] == cell[7] == "-":
        return datetime.fromisoformat(cell)
    return cell or None
