"""Set documents on paper. WeasyPrint is loaded only when a PDF is made."""

import sys
from pathlib import Path
from urllib.parse import unquote, urlsplit

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string

from inventory.models import Nursery
from nursery.machine_needs import OTHER_SYSTEMS, PDF_PACKAGES
from sales.models import Document
from sales.queries.document_page import cautions_of, lines_of, standing_of

# Whatever stands behind this address is one of the ledger's own static files.
OWN = "static:/"


class PdfNotPossible(Exception):
    """The system libraries that set PDFs are missing; says what to install."""


def document_pdf(document: Document) -> bytes:
    """Return an invoice, receipt or credit note as a PDF."""
    standing, lines = standing_of(document), lines_of(document)
    return pdf_of(
        "documents/invoice.html",
        {
            "nursery": _nursery_as_it_was(document),
            "document": document,
            "standing": standing,
            "lines": lines,
            "cautions": [] if document.is_credit else cautions_of(lines),
        },
    )


def _nursery_as_it_was(document):
    """Return the nursery with the name and address that the document was issued under."""
    nursery = Nursery.current()
    nursery.name = document.issued_by.get("name", "")
    nursery.address = document.issued_by.get("address", "")
    return nursery


def pdf_of(template: str, context: dict) -> bytes:
    """Return a template under templates/documents/ as a PDF, or raise PdfNotPossible."""
    try:
        from weasyprint import CSS, HTML
    except (ImportError, OSError) as error:
        raise PdfNotPossible(what_to_install()) from error
    fetcher = own_files_only()
    sheet = CSS(string=own_file("css/documents.css").read_text("utf-8"), url_fetcher=fetcher)
    page = HTML(string=render_to_string(template, context), base_url=OWN, url_fetcher=fetcher)
    return page.write_pdf(stylesheets=[sheet])


def own_files_only():
    """Return a fetcher that reads the ledger's static files and refuses all else."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFilesOnly(URLFetcher):
        """Nothing outside may be asked for: an invoice is no one else's business."""

        def fetch(self, url, headers=None):
            if not url.startswith(OWN):
                raise ValueError(f"{url} is not one of the ledger's own files.")
            return URLFetcherResponse(url, own_file(unquote(urlsplit(url).path)).read_bytes())

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
