"""The forms of a page, as a browser would send them, and as nobody should."""

from collections.abc import Iterator
from urllib.parse import urljoin, urlsplit

import lxml.html
from django.core.files.uploadedfile import SimpleUploadedFile

FILES = (
    ("a.csv", b""),
    ("../../a.csv", b"\x00" * 200),
    ("a\r\nX-Header: 1.png", b"\x89PNG\r\n\x1a\n" + b"\xff" * 60),
    ("x" * 300 + ".pdf", b"%PDF-1.7 <script>"),
    ("a.xlsx", b"PK\x03\x04" + b"\x00" * 300),
    ("a.jpg", b"\xff\xd8\xff\xe0" + b"\x00" * 300),
    ("\u202egpj.svg", b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>"),
)


def forms_in(text: str, address: str) -> Iterator[tuple[str, dict, list[str]]]:
    """Yield (where it is sent, what is sent if nothing is touched, its file fields) of a page."""
    if "<form" not in text:
        return
    for form in lxml.html.fromstring(text).forms:
        action = urljoin(address, form.get("action") or "")
        if (form.method or "GET").upper() != "POST" or "logout" in action:
            continue
        sent = {}
        for name, value in form.form_values():
            sent.setdefault(name, []).append(value)
        # What is empty is no value to lxml, but a browser sends it.
        for field in form.xpath(".//input[@name]|.//textarea[@name]|.//select[@name]"):
            if field.get("type") not in ("checkbox", "radio", "file", "submit"):
                sent.setdefault(field.get("name"), [""])
        files = form.xpath(".//input[@type='file']/@name")
        path = urlsplit(action)
        yield f"{path.path}?{path.query}" if path.query else path.path, sent, files


def broken(sent: dict, names: list[str], value: str) -> dict:
    """Return what is sent with some fields holding that value."""
    return {**sent, **{name: [_as_sent(value)] for name in names}}


def twice(sent: dict, name: str, value: str) -> dict:
    """Return what is sent with that value before and behind the right ones."""
    return {**sent, name: [_as_sent(value), *sent.get(name, []), _as_sent(value)]}


def without(sent: dict, name: str) -> dict:
    """Return what is sent without one field."""
    return {key: values for key, values in sent.items() if key != name}


def handed_in(sent: dict, name: str, which: int) -> dict:
    """Return what is sent with a file that is none of those wanted."""
    file_name, content = FILES[which % len(FILES)]
    return {**sent, name: SimpleUploadedFile(file_name, content)}


def _as_sent(value: str) -> str:
    """Half a letter cannot be written in UTF-8; what a browser sends for it can."""
    return value.encode("utf-8", "replace").decode()
