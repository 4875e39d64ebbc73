"""What somebody typed to make a paper fetch, carry or show what is not its own."""

import io
import socket
import threading

import pytest
from pypdf import PdfReader

from inventory.models import Nursery
from nursery.kept_files import keep_file
from sales.documents import pdf
from sales.documents.papers import document_pdf, invoice_of
from tests.factories import (
    BuyerFactory,
    NurseryFactory,
    PlantFactory,
    lot_holding,
    sell_from,
)

pytest.importorskip(
    "weasyprint", reason="the libraries that set PDFs are missing", exc_type=OSError
)

# Each way in which HTML, CSS or SVG asks for something from elsewhere, by HTML's own standard.
ASKING = (
    '<img src="{}">',
    '<img srcset="{} 2x">',
    '<object data="{}"></object>',
    '<embed src="{}">',
    '<iframe src="{}"></iframe>',
    '<link rel="stylesheet" href="{}">',
    '<link rel="attachment" href="{}">',
    '<a rel="attachment" href="{}">a</a>',
    '<base href="{}"><img src="b.png">',
    '<style>@import url("{}"); @font-face {{ font-family: f; src: url("{}") }}</style>',
    '<p style="background: url({}); list-style: url({}); content: url({}); font-family: f">b</p>',
    '<svg width="9" height="9"><image href="{}" width="9" height="9"/><use href="{}#a"/></svg>',
    '<meta http-equiv="refresh" content="0; url={}">',
)


@pytest.fixture
def outside():
    """Listen on this machine, and count who comes."""
    came = []
    with socket.create_server(("127.0.0.1", 0)) as server:

        def listen():
            while True:
                try:
                    connection, _ = server.accept()
                except OSError:
                    return
                came.append(connection.recv(200))
                connection.close()

        threading.Thread(target=listen, daemon=True).start()
        yield f"127.0.0.1:{server.getsockname()[1]}", came


def test_html_that_asks_for_anything_outside_is_set_without_it(outside, tmp_path):
    host, came = outside
    secret = tmp_path / "secret.txt"
    secret.write_text("the secret of this machine")
    kept = keep_file(b"%PDF- a certificate of somebody", "pdf")
    places = (f"http://{host}/a", f"//{host}/a", secret.as_uri(), str(secret), f"kept:/{kept}")
    places += (f"ftp://{host}/a", "data:text/plain,the%20secret", "static:/../settings.py")

    asking = "".join(way.replace("{}", place) for place in places for way in ASKING)
    paper = pdf.set_on_paper(f"<p>Alone</p>{asking}".replace("{{", "{").replace("}}", "}"))

    read = PdfReader(io.BytesIO(paper))
    assert "Alone" in read.pages[0].extract_text()
    assert not came and not read.attachments
    assert b"secret of this machine" not in paper and b"/EmbeddedFile" not in paper


@pytest.mark.django_db
def test_what_is_typed_anywhere_is_words_on_paper_and_asks_for_nothing(outside):
    host, came = outside
    asks, cuts = f"<img src=//{host}/a>", "</style></table></html><script>1</script>"
    NurseryFactory(name=asks, street=cuts, city=asks, phone=cuts[:30], licence_name=asks)
    buyer = BuyerFactory(name=asks, street=f"{cuts}{asks}", city="{{ 7|add:7 }} {% now 'Y' %}")
    plant = PlantFactory(
        common_name=f"<link rel=attachment href=//{host}/b>",
        poisonous=f"<style>@import url(//{host}/c);</style>",
        propagation_right=f"<object data=file:///etc/hostname>{asks}",
    )
    document = sell_from(lot_holding(5, plant=plant), 2, "9.50", buyer=buyer, note=asks)
    template, shown = invoice_of(document)

    html = pdf.html_of(template, shown)
    paper = document_pdf(document)

    for opened in ("<img src=//", "<script", "<link rel=attachment", "<object", "<style>@import"):
        assert opened not in html, opened
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(paper)).pages)
    assert "{{ 7|add:7 }}" in text and asks in " ".join(text.split())
    assert not came and Nursery.current().name == asks


def test_a_word_without_an_end_makes_a_long_paper_and_no_broken_ledger():
    paper = pdf.set_on_paper(f"<p>{'A' * 20_000}</p>")

    assert paper.startswith(b"%PDF-")
