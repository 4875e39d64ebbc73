"""Sheets of labels as a PDF."""

from sales.documents.pdf import pdf_of
from sales.labels.fitting import styled
from sales.labels.grid import Grid
from sales.labels.tags import Tag

DRESS = "css/labels.css"


def labels_pdf(tags: list[Tag], grid: Grid, *, start: int = 1) -> bytes:
    """Return sheets of labels as a PDF, the first begun at the label numbered `start`.

    It speaks the nursery's language. Raises PdfNotPossible.
    """
    context = {
        "sheets": list(grid.sheets(tags, start)),
        "style": styled(grid, tags),
    }
    return pdf_of("documents/labels.html", context, dress=DRESS)
