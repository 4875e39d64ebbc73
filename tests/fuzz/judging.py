"""What an answer must be, whatever text stands in the ledger: whole, and nothing that runs."""

import csv
import io
import json
import re
import warnings

import lxml.etree
import lxml.html
from icalendar import Calendar

# Every hostile text of tests/fuzz/test_injection.py tries to bring in something of this name.
MARK = "zz"
RUNS_IN_A_SHEET = re.compile(r"[=+@\t\r]|-(?!\s*[\d.,]+\s*%?$|$)")
DATA = ("application/ld+json", "application/json")


def judge(answer) -> list[str]:
    """Return what is wrong with an answer, in words."""
    kind = answer.headers.get("Content-Type", "").partition(";")[0]
    content = answer.whole
    found = [f"a header in two lines: {name}" for name, value in answer.items() if "\n" in value]
    disposition = answer.headers.get("Content-Disposition", "")
    if re.search(r'filename="[^"]*[/\\]', disposition) or disposition.count('"') % 2:
        found.append(f"a file's name leads elsewhere: {disposition}")
    look = next((look for part, look in LOOKS.items() if part in kind), None)
    return [*found, *look(content)] if look and content else found


def _page(content):
    tree = lxml.html.fromstring(content)
    for node in tree.iter(lxml.etree.Element):
        if str(node.tag).startswith(MARK):
            yield f"text became an element: {node.tag}"
        if odd := [name for name in node.attrib if name.startswith(("on", MARK, "hx-on"))]:
            yield f"text became an attribute: {odd}"
        links = (node.get("href"), node.get("src"), node.get("action"))
        if any(re.match(r"\s*(javascript|data|file):", link or "") for link in links):
            yield f"a link that runs: {links}"
        if node.tag == "script" and not node.get("src"):
            if node.get("type") not in DATA:
                yield "a script in the page"
            json.loads(node.text)


def _xml(content):
    parser = lxml.etree.XMLParser(resolve_entities=False, no_network=True)
    for node in lxml.etree.fromstring(content, parser).iter(lxml.etree.Element):
        name = lxml.etree.QName(node).localname
        if name.startswith(MARK) or name in ("script", "foreignObject"):
            yield f"text became an element: {name}"
        if any(key.startswith("on") for key in node.attrib):
            yield f"text became an attribute of {name}"


def _calendar(content):
    Calendar.from_ical(content)
    for line in content.split(b"\r\n"):
        if len(line) > 75 or b"\n" in line or b"\r" in line:
            yield f"a line of a calendar that is none: {line[:40]!r}"
        if line.lower().startswith(b"x-zz"):
            yield "text became a line of a calendar"


def _csv(content):
    rows = list(csv.reader(io.StringIO(content.decode("utf-8-sig")), strict=True))
    if len({len(row) for row in rows}) > 1:
        yield "rows of different length"
    yield from (
        f"a formula: {cell[:40]}" for row in rows for cell in row if RUNS_IN_A_SHEET.match(cell)
    )


def _xlsx(content):
    from openpyxl import load_workbook

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        sheet = load_workbook(io.BytesIO(content)).active
    cells = [cell for row in sheet.iter_rows() for cell in row]
    yield from (f"a formula: {cell.value}" for cell in cells if cell.data_type == "f")
    yield from (f"a link: {cell.hyperlink.target}" for cell in cells if cell.hyperlink)


def _pdf(content):
    if not content.startswith(b"%PDF"):
        yield "no PDF"
    from pypdf import PdfReader

    for page in PdfReader(io.BytesIO(content)).pages:
        for note in page.get("/Annots") or ():
            action = note.get_object().get("/A") or {}
            target = str(action.get("/URI", "")) + str(action.get("/JS", ""))
            if re.match(r"\s*(javascript|data|file):", target) or "/JS" in action:
                yield f"a link that runs: {target[:60]}"
    if b"/JavaScript" in content or b"/EmbeddedFile /" in content:
        yield "a script in the PDF"


def _data(content):
    json.loads(content)
    return ()


LOOKS = {
    "text/html": _page,
    "spreadsheetml": _xlsx,
    "xml": _xml,
    "text/calendar": _calendar,
    "text/csv": _csv,
    "pdf": _pdf,
    "json": _data,
}
