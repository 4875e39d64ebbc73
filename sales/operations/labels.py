"""Keep the measures of labels, and the links that show one document."""

import secrets
from dataclasses import asdict
from decimal import Decimal

from inventory.operations.posting import ledger_held
from sales.errors import SaleRefused
from sales.labels.grid import Grid, short
from sales.models import Document, LabelStock, SharedPaper

TOKEN_BYTES = 24
# Measured with a ruler, labels may seem to reach a little beyond their sheet.
SLACK = Decimal("0.5")


@ledger_held()
def keep_label_stock(
    *, name: str, grid: Grid, in_use: bool = True, stock: LabelStock | None = None
) -> LabelStock:
    """Write down the measures of the nursery's labels, new or changed, under a name.

    Labels not in use are no longer offered. The same again changes nothing. Raises
    SaleRefused without a name, for a name taken, and where the labels reach beyond their sheet.
    """
    name = name.strip()
    if not name:
        raise SaleRefused("Give these labels a name, to find them again.", field="name")
    known = LabelStock.objects.filter(name__iexact=name).exclude(pk=stock.pk if stock else None)
    if found := known.first():
        if found.grid == grid and not stock:
            return found
        raise SaleRefused(f"Other labels are called {found}. Choose another name.", field="name")
    _refuse_beyond(grid)
    row = stock or LabelStock()
    row.name, row.in_use = name, in_use
    for field, value in asdict(grid).items():
        setattr(row, field, value)
    row.full_clean()
    row.save()
    return row


def share_document(*, document: Document, by=None) -> SharedPaper:
    """Make a link that shows this document to whoever has it; return it.

    While one stands it is the one returned, so a second press makes no second link.
    """
    with ledger_held():
        standing = document.shares.filter(is_withdrawn=False).first()
        token = secrets.token_urlsafe(TOKEN_BYTES)
        return standing or SharedPaper.objects.create(document=document, token=token)


def stop_sharing(*, shared: SharedPaper, by=None) -> None:
    """Let a link lead nowhere from now on. `share_again` undoes it."""
    with ledger_held():
        SharedPaper.objects.filter(pk=shared.pk).update(is_withdrawn=True)


def share_again(*, shared: SharedPaper, by=None) -> SharedPaper:
    """Let a stopped link lead to its document again, unless another was made since."""
    with ledger_held():
        standing = shared.document.shares.filter(is_withdrawn=False).first()
        if standing:
            return standing
        shared.is_withdrawn = False
        shared.save(update_fields=["is_withdrawn"])
        return shared


def _refuse_beyond(grid):
    for name, reach, size in zip(("width", "height"), grid.reach, grid.page, strict=True):
        if reach > size + SLACK:
            raise SaleRefused(
                f"With margins and gaps the labels reach {short(reach)} mm, and the sheet is "
                f"{short(size)} mm {'wide' if name == 'width' else 'high'}. Measure once more.",
                field=name,
            )
