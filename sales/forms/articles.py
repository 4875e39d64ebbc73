"""Read the sheet of article numbers."""

import re
from dataclasses import dataclass

from nursery.forms import RequestForm
from sales.errors import SaleRefused
from sales.operations.articles import NewNumber, gtin_of
from sales.queries.articles import article_numbers
from sales.queries.price_page import Key, SheetRow

NAME = re.compile(r"gtin-(\d{1,15})-(\d{1,15})")


@dataclass
class Numbered:
    """A plant in a container with its article number, as shown and as typed."""

    row: SheetRow
    shown: str
    text: str
    error: str = ""

    @property
    def key(self) -> str:
        return f"{self.row.plant.pk}-{self.row.container.pk}"

    @property
    def label(self) -> str:
        return f"{self.row.plant} {self.row.container}"

    @property
    def is_changed(self) -> bool:
        return self.text != self.shown


class ArticleForm(RequestForm):
    """One number a row; what differs from what was shown is written."""

    def __init__(self, data=None, *, rows: list[SheetRow], **kwargs):
        super().__init__(data, **kwargs)
        standing = article_numbers()
        self.rows = [self._numbered(row, standing.get(row.key[:2], "")) for row in rows]

    @property
    def changed(self) -> list[Numbered]:
        return [row for row in self.rows if row.is_changed]

    def clean(self):
        cleaned = super().clean()
        for row in self.changed:
            try:
                gtin_of(row.text)
            except SaleRefused as error:
                row.error = str(error)
                self.add_error(None, f"{row.label}: {error}")
        if not self.errors and not self.changed:
            self.add_error(None, "No number was changed.")
        return cleaned

    def numbers(self) -> list[NewNumber]:
        """Return what `set_article_numbers` takes."""
        return [NewNumber(row.row.plant, row.row.container, row.text) for row in self.changed]

    def _numbered(self, row, shown):
        if not self.is_bound:
            return Numbered(row, shown, shown)
        key = f"{row.plant.pk}-{row.container.pk}"
        shown = self.data.get(f"shown-{key}", shown)
        return Numbered(row, shown, self.data.get(f"gtin-{key}", shown).strip())


def articles_sent(data) -> set[Key]:
    """Return the rows of the sheet a form was sent from."""
    found = (NAME.fullmatch(name) for name in data)
    return {(int(m[1]), int(m[2]), "") for m in found if m}
