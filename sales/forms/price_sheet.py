"""Read the price sheet: which rows, what prices are proposed, what was typed into its cells.

A cell is one field `p-PLANT-CONTAINER-NUMBER-GRADE`, with beside it in `s-…` what it showed.
Only a cell that differs from that is written, so that a sheet left open overnight does not
put back a price set elsewhere in the meantime. With `more` there is a column for a new number.
"""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django import forms
from django.utils import timezone

from inventory.models import Container
from nursery.context import current_currency
from nursery.forms import DateInput, RequestForm
from nursery.money import currency_digits
from sales.errors import SaleRefused
from sales.forms.amounts import AmountField, read_amount, typed
from sales.models import PriceList
from sales.operations.price import MOST, NewPrice, whole_in_currency
from sales.pricing import ENDINGS, margin_percent, price_for_margin, raised, round_to_ending
from sales.queries.price_page import Key, Sheet, SheetRow, is_below

NAME = re.compile(r"p-(\d{1,15})-(\d{1,15})-(\d{1,7}|new)-(.{0,24})", re.DOTALL)
NEW = "new"


class SheetChoice(forms.Form):
    """Which list on which day, narrowed how, with which prices proposed."""

    list = forms.ChoiceField(label="List", choices=PriceList, required=False)
    container = forms.ModelChoiceField(
        Container.objects.filter(kind="sale", in_use=True),
        to_field_name="code",
        required=False,
        empty_label="all containers",
    )
    plant = forms.CharField(required=False, widget=forms.TextInput(attrs={"type": "search"}))
    on = forms.DateField(label="From the day", required=False, widget=DateInput)
    each = AmountField(
        label="One price for all without one",
        required=False,
        help_text="With a container chosen: all its plants that have none yet.",
    )
    percent = forms.DecimalField(
        label="Raise all by, %",
        required=False,
        min_value=-90,
        max_value=900,
        max_digits=7,
        decimal_places=3,
        widget=forms.TextInput(attrs={"inputmode": "text", "class": "number"}),
        help_text="With a minus they fall. A list still empty starts from the stand's.",
    )
    margin = forms.DecimalField(
        label="Margin wanted, % of the price",
        required=False,
        min_value=0,
        max_value=99,
        max_digits=6,
        decimal_places=3,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "number"}),
        help_text="Shows the price it needs.",
    )
    fill = forms.BooleanField(label="Put that price into the sheet", required=False)
    ending = forms.ChoiceField(
        label="Ending in",
        required=False,
        choices=[("", "anything"), *((name, name) for name in ENDINGS)],
    )

    more = forms.BooleanField(required=False)

    main = ("list", "container", "plant", "on")
    working = ("each", "percent", "margin", "ending", "fill")
    passing = (*working, "more")

    def chosen(self, name):
        """Return what was chosen, or nothing where it cannot be understood."""
        self.full_clean()
        return self.cleaned_data.get(name)

    @property
    def day(self) -> date:
        return self.chosen("on") or timezone.localdate()

    @property
    def rows(self) -> dict:
        """Return what `price_sheet` is asked."""
        container = self.chosen("container")
        return {
            "on": self.day,
            "on_list": self.chosen("list") or PriceList.STAND,
            "container": container.code if container else "",
            "plant": self.chosen("plant") or "",
        }

    @property
    def proposes(self) -> bool:
        by_margin = self.chosen("fill") and self.chosen("margin")
        return bool(self.chosen("each") or self.chosen("percent") or by_margin)

    def needed(self, row: SheetRow) -> Decimal | None:
        """Return the price that leaves the margin wanted over the cost, rounded up."""
        if self.chosen("margin") is None or not row.unit_cost:
            return None
        exact = price_for_margin(row.unit_cost, self.chosen("margin"))
        return round_to_ending(exact, self.chosen("ending") or "", _digits(), up=True)

    def proposal(self, row: SheetRow, least: int, standing: Decimal | None) -> Decimal | None:
        """Return the price to put into a cell, or None to leave it as it is."""
        if self.chosen("fill") and least == 1 and self.needed(row) is not None:
            return self.needed(row)
        if self.chosen("each") is not None and least == 1 and not standing:
            return self.chosen("each")
        if self.chosen("percent") and standing:
            return raised(standing, self.chosen("percent"), self.chosen("ending") or "", _digits())
        return None


@dataclass
class Cell:
    """A price of a row from a number of plants on, as shown and as typed."""

    row: SheetRow
    least: int | str
    shown: str
    text: str
    error: str = ""

    @property
    def key(self) -> str:
        return f"{self.row.plant.pk}-{self.row.container.pk}-{self.least}-{self.row.grade}"

    @property
    def label(self) -> str:
        words = f"{self.row.plant} {self.row.container}"
        if self.row.grade:
            words += f", grade {self.row.grade}"
        return f"{words}, {self.number}"

    @property
    def number(self) -> str:
        """The column in words."""
        if self.least == NEW:
            return "new"
        return "each" if self.least == 1 else f"from {self.least:,}"

    @property
    def is_changed(self) -> bool:
        return self.text != self.shown

    @property
    def amount(self) -> Decimal | None:
        """The price typed; None for none. Raises ValueError where it is no amount."""
        return read_amount(self.text) if self.text else None

    @property
    def is_below_cost(self) -> bool:
        return is_below(self._read, self.row.unit_cost)

    @property
    def margin(self) -> Fraction | None:
        """The margin as a percent of the price in the cell, where it has a cost."""
        if self._read is None or self.row.unit_cost is None:
            return None
        return margin_percent(self._read, self.row.unit_cost)

    @property
    def stand(self) -> Decimal | None:
        """The stand's price, where it applies because the cell is empty."""
        price = self.row.stand.get(self.least)
        return price.amount if price and not self.row.prices and not self.text else None

    @property
    def _read(self):
        try:
            return self.amount
        except ValueError:
            return None


class PriceSheetForm(RequestForm):
    """The cells of a sheet, and the number its new column begins at."""

    new_least = forms.IntegerField(
        label="New, from",
        required=False,
        min_value=2,
        max_value=MOST,
        widget=forms.TextInput(
            attrs={
                "inputmode": "numeric",
                "class": "number",
                "autocomplete": "off",
                "aria-label": "A new column: the number of plants its prices begin at",
            }
        ),
    )

    def __init__(self, data=None, *, sheet: Sheet, choice: SheetChoice, **kwargs):
        super().__init__(data, **kwargs)
        self.sheet, self.choice = sheet, choice
        columns = [*sheet.breaks, *([NEW] if choice.chosen("more") else [])]
        self.rows = [
            (row, choice.needed(row), [self._cell(row, least) for least in columns])
            for row in sheet.rows
        ]

    @property
    def cells(self) -> list[Cell]:
        return [cell for _, _, cells in self.rows for cell in cells]

    @property
    def changed(self) -> list[Cell]:
        return [cell for cell in self.cells if cell.is_changed]

    @property
    def below(self) -> int:
        return sum(cell.is_below_cost for cell in self.cells)

    def clean(self):
        cleaned = super().clean()
        for cell in self.changed:
            try:
                if cell.amount is not None:
                    whole_in_currency(cell.amount, current_currency())
            except (ValueError, SaleRefused) as error:
                cell.error = str(error)
                self.add_error(None, f"{cell.label}: {error}")
        self._check_new_column(cleaned.get("new_least"))
        if not self.errors and not self.changed:
            self.add_error(None, "No price was changed. Type the new one over the old one.")
        return cleaned

    def _check_new_column(self, least):
        used = any(cell.least == NEW for cell in self.changed)
        if used and least is None and "new_least" not in self.errors:
            self.add_error("new_least", "Say from how many plants on the new column's prices hold.")
        if used and least in self.sheet.breaks:
            self.add_error("new_least", f"There is a column from {least} already: use that one.")

    def prices(self) -> list[NewPrice]:
        """Return what `set_prices` takes."""
        return [
            NewPrice(
                cell.row.plant,
                cell.row.container,
                cell.amount,
                list=self.sheet.list,
                grade=cell.row.grade,
                least=self.cleaned_data["new_least"] if cell.least == NEW else cell.least,
            )
            for cell in self.changed
        ]

    def refuse(self, error) -> None:
        """Show a LedgerError above the sheet, keeping what was typed."""
        self.add_error(None, str(error))

    def _cell(self, row, least):
        price = row.prices.get(least)
        shown = typed(price.amount) if price else ""
        cell = Cell(row, least, shown, shown)
        if self.is_bound:
            cell.shown = self.data.get(f"s-{cell.key}", shown)
            cell.text = self.data.get(f"p-{cell.key}", cell.shown).strip()
        elif least != NEW:
            # A list without a price of its own starts from the stand's.
            standing = price or row.stand.get(least)
            proposal = self.choice.proposal(row, least, standing.amount if standing else None)
            cell.text = shown if proposal is None else typed(proposal)
        return cell


def rows_sent(data) -> set[Key]:
    """Return the rows of the sheet a form was sent from."""
    found = (NAME.fullmatch(name) for name in data)
    return {(int(m[1]), int(m[2]), m[4]) for m in found if m}


def _digits():
    return currency_digits(current_currency())
