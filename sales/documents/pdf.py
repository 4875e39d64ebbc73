"""Set documents on paper. WeasyPrint is loaded only when a PDF is made.

To add a document: a template under templates/documents/ that extends base.html, its words
through {% say %} and in each of languages/*.po, and `pdf_of(template, context)`.
"""

import atexit
import io
import sys
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import unquote, urlsplit

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from PIL import ImageFile

from inventory.models import Nursery
from nursery.context import asked_once
from nursery.kept_files import kept_file
from nursery.machine_needs import OTHER_SYSTEMS, PDF_PACKAGES
from sales.documents.words import speaking
from sales.parties import seller_facts

# Behind these addresses stand the ledger's own static files and the files it keeps.
OWN, KEPT = "static:/", "kept:/"
PICTURES = (".png", ".jpg")
DRESS = "css/documents.css"
ARCHIVAL = "pdf/a-3b"
"""The variant of ISO 19005-3 that may carry files, such as an invoice for machines."""
# The fonts of this machine, as each thread found them. They cannot be let go of at the very end.
_fonts_of: dict[int, object] = {}
atexit.register(_fonts_of.clear)


class PdfNotPossible(Exception):
    """The system libraries that set PDFs are missing; says what to install."""


@dataclass(frozen=True)
class Enclosure:
    """A file carried inside a PDF; `relationship` is its AFRelationship, as "Alternative"."""

    name: str
    content: bytes
    relationship: str = "Unspecified"
    description: str = ""


def pdf_of(
    template: str,
    context: dict,
    *,
    language: str = "",
    country: str = "",
    enclosures: Sequence[Enclosure] = (),
    xmp: Sequence[bytes] = (),
    variant: str | None = None,
    dress: str = DRESS,
) -> bytes:
    """Return a template under templates/documents/ as a PDF, or raise PdfNotPossible.

    It has the letterhead of `context["seller"]`, else of the nursery as it is now.
    `language` is the nursery's where it is not given. `variant` may be ARCHIVAL, which
    `enclosures` and `xmp` (pieces of metadata, RDF in XML) need. `dress` is its stylesheet.
    """
    html = html_of(template, context, language=language, country=country)
    return set_on_paper(html, enclosures=enclosures, xmp=xmp, variant=variant, dress=dress)


def html_of(template: str, context: dict, *, language: str = "", country: str = "") -> str:
    """Return what the PDF is set from."""
    nursery = Nursery.current()
    seller = context.get("seller") or seller_facts(nursery)
    paper = context.get("paper") or seller.get("paper") or nursery.paper_in_use
    spoken = speaking(language or nursery.language, country or seller.get("country", ""))
    with asked_once(), spoken:
        return render_to_string(template, context | {"seller": seller, "paper": paper})


def set_on_paper(
    html: str,
    *,
    enclosures: Sequence[Enclosure] = (),
    xmp: Sequence[bytes] = (),
    variant: str | None = None,
    dress: str = DRESS,
) -> bytes:
    """Return HTML as a PDF dressed by a stylesheet of the ledger's, or raise PdfNotPossible."""
    try:
        from weasyprint import CSS, HTML, Attachment
    except (ImportError, OSError) as error:
        raise PdfNotPossible(what_to_install()) from error
    # WeasyPrint has all of the program take pictures that arrived in part; we refuse them.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    fetcher = own_files_only()
    sheet = CSS(string=own_file(dress).read_text("utf-8"), url_fetcher=fetcher)
    page = HTML(string=html, base_url=OWN, url_fetcher=fetcher)
    return page.write_pdf(
        stylesheets=[sheet],
        font_config=_fonts(),
        pdf_variant=variant,
        xmp_metadata=[io.BytesIO(piece) for piece in xmp],
        attachments=[
            Attachment(
                string=one.content,
                name=one.name,
                description=one.description,
                relationship=one.relationship,
            )
            for one in enclosures
        ],
    )


def _fonts():
    """Return the fonts of this machine. Looked for again they stay in memory each time."""
    from weasyprint.text.fonts import FontConfiguration

    thread = threading.get_ident()
    if thread not in _fonts_of:
        _fonts_of[thread] = FontConfiguration()
    return _fonts_of[thread]


def own_files_only():
    """Return a fetcher that reads the ledger's static files and kept pictures, and nothing else."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFilesOnly(URLFetcher):
        """Nothing outside may be asked for: an invoice is no one else's business."""

        def fetch(self, url, headers=None):
            name = unquote(urlsplit(url).path).lstrip("/")
            if url.startswith(OWN):
                return URLFetcherResponse(url, own_file(name).read_bytes())
            if url.startswith(KEPT) and name.endswith(PICTURES):
                return URLFetcherResponse(url, kept_file(name).read_bytes())
            raise ValueError(f"{url} is not one of the ledger's own files.")

    return OwnFilesOnly()


def own_file(name: str) -> Path:
    """Return the path of a static file of the ledger, or raise ValueError."""
    found = finders.find(name.lstrip("/"))
    if not found:
        raise ValueError(f"The ledger has no file {name}.")
    return Path(found)


def what_to_install() -> str:
    """Say what this machine lacks for PDFs; the rest of the ledger works without."""
    command = OTHER_SYSTEMS.get(sys.platform) or f"sudo apt-get install {' '.join(PDF_PACKAGES)}"
    return (
        f"This machine lacks the libraries that set PDFs; all else works. To have them: {command}"
    )
