"""Files that are small and would become enormous; run as a program, it opens each.

It is run in a process of its own that may take so much memory and time and no more. It prints
one line for each file: what it is, and the refusal. Whatever else happens ends it with a trace.
"""

import io
import resource
import struct
import sys
import zipfile
import zlib

from nursery.pictures import NoPicture, fit_to_show
from nursery.sheet_file import Unreadable, read_file

MEMORY = 900_000_000
SECONDS = 60
HEAD = '<?xml version="1.0" encoding="UTF-8"?>'
LAUGHS = "".join(f'<!ENTITY a{n + 1} "{f"&a{n};" * 10}">' for n in range(9))
BOOK = (
    '<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r='
    '"http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets>'
    '<sheet name="S" sheetId="1" r:id="rId1"/></sheets></workbook>'
)


class Upload(io.BytesIO):
    """What a browser hands in."""

    @property
    def size(self) -> int:
        return len(self.getvalue())


def packed(sheet: bytes | str, **more: str) -> bytes:
    """Pack a sheet as a workbook would."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as book:
        book.writestr("xl/workbook.xml", HEAD + BOOK)
        book.writestr("xl/worksheets/sheet1.xml", sheet)
        for name, text in more.items():
            book.writestr(name, text)
    return out.getvalue()


def png(width: int, height: int) -> bytes:
    """Return a picture of a few bytes that claims so many points."""

    def part(kind, data):
        check = struct.pack(">I", zlib.crc32(kind + data))
        return struct.pack(">I", len(data)) + kind + data + check

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    pixels = zlib.compress(b"\x00" * 1000)
    parts = part(b"IHDR", head) + part(b"IDAT", pixels) + part(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + parts


def sheets():
    """Yield files that are no notebook, by what they are."""
    yield "a sheet of 90 MB", packed(b"<worksheet>" + b" " * 90_000_000)
    laughs = f'{HEAD}<!DOCTYPE x [<!ENTITY a0 "ha">{LAUGHS}]><worksheet>&a9;</worksheet>'
    yield "a million laughs", packed(laughs)
    outside = (
        f'{HEAD}<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]><worksheet>&a;</worksheet>'
    )
    yield "a file of this machine", packed(outside)
    yield "no workbook", packed("<a/>")[:-40]
    yield "a million columns", b",".join([b"x"] * 1_000_000)
    yield "a million quotes", b'"' * 1_000_001
    yield "a cell of 4 MB", b'Plant,Pot\n"' + b"x" * 4_000_000 + b'",#1'
    yield "a quote left open", b'Plant,Pot\n"' + b"x\n" * 1_000_000
    yield "bytes", bytes(range(256)) * 1_000


def pictures():
    """Yield files that are no picture, by what they are."""
    yield "50,000 by 50,000 points", png(50_000, 50_000)
    yield "more points than a number holds", png(2**31 - 1, 2**31 - 1)
    yield "no points", png(0, 10)
    yield "a drawing", b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>"
    yield "a picture and a page", b"GIF89a<script>alert(1)</script>"
    yield "a PDF", b"%PDF-1.7\n" + b"\xff" * 1_000
    yield "half a picture", png(40, 40)[:50]


def main() -> None:
    """Open all of them."""
    made = [("sheet", *one) for one in sheets()], [("picture", *one) for one in pictures()]
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    for kind, name, content in (*made[0], *made[1]):
        try:
            read_file(Upload(content)) if kind == "sheet" else fit_to_show(content)
        except (Unreadable, NoPicture) as error:
            print(f"{name}: {error}")
        else:
            print(f"{name}: read")


if __name__ == "__main__":
    sys.exit(main())
