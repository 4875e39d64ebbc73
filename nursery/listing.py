"""Show a list: filter, order, pages of 25, and the same rows as CSV or XLSX.

    return list_page(
        request, LotTable, lots, template="inventory/lot_list.html",
        filterset=LotFilter, context={"place": "growing"}, export_name="lots",
    )

The template gets `table` and, with a filterset, `filter`:

    {% include "partials/filters.html" %}  {% render_table table %}

`rows` is a queryset, or a list of objects where no filterset is given. `prepare` is
called with the rows that are about to be shown, to look up what they need in one go.
`context` may be a function of all the rows that were found, to sum them up.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

import django_tables2 as tables
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.timezone import localtime
from django_tables2 import RequestConfig

from nursery.context import current_symbol
from nursery.money import round_half_up
from nursery.templatetags.nursery_tags import amount_without_sign, percent, plain, unit_cost

PER_PAGE = 25
MOST_ROWS = 100_000
CONTENT_TYPES = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
# A spreadsheet would run text that begins like this as a formula.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
# What a sheet cannot hold; a vertical tab comes along with text that is pasted.
UNSEEN = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
NUMBER = {"cell": {"class": "number"}}


class ListTable(tables.Table):
    """A table that offers its rows as files; every list of the ledger is one."""

    export_formats = tuple(CONTENT_TYPES)
    caption = ""
    empty_text = "Nothing here matches."

    def __init__(self, *args, **kwargs):
        """Say where nothing is found what the table's class says; the library would forget it."""
        super().__init__(*args, **{"empty_text": type(self).empty_text} | kwargs)

    @property
    def order_by(self):
        """The columns by which the rows are ordered."""
        return super().order_by

    @order_by.setter
    def order_by(self, asked):
        """Order by what is a column here; an address may ask for anything."""
        names = asked.split(",") if isinstance(asked, str) else asked or ()
        known = [name for name in names if str(name).removeprefix("-") in self.columns.names()]
        tables.Table.order_by.fset(self, known)

    def __init_subclass__(cls, **kwargs):
        """Name a column of money after itself where it was given no name."""
        super().__init_subclass__(**kwargs)
        for name, column in cls.base_columns.items():
            if isinstance(column, MoneyColumn) and column.verbose_name is None:
                column.verbose_name = name.replace("_", " ").capitalize()


class NumberColumn(tables.Column):
    """A number of plants or lots, its thousands apart; zeros are shown.

    `asks` is the right without which a person does not get the column, in the file neither.
    """

    def __init__(self, *args, asks: str = "", **kwargs):
        self.asks = asks
        super().__init__(*args, **{"attrs": NUMBER, "default": "", **kwargs})

    def render(self, value):
        return plain(value)

    def value(self, value):
        return exact(value)


class PercentColumn(NumberColumn):
    """A percentage: 38.25 is 38.3%."""

    def render(self, value):
        return percent(exact(value))


class MoneyColumn(NumberColumn):
    """An amount; the currency stands once, in the head."""

    @property
    def header(self):
        return f"{self.verbose_name}, {current_symbol()}"

    def render(self, value):
        return amount_without_sign(exact(value))


class UnitCostColumn(MoneyColumn):
    """What one plant costs, to a tenth of a cent where a cent would hide it."""

    def render(self, value):
        return unit_cost(exact(value), "column")


def list_page(
    request: HttpRequest,
    table_class: type[tables.Table],
    rows: QuerySet | Iterable,
    *,
    template: str,
    filterset: type | None = None,
    context: Mapping | Callable[..., Mapping] | None = None,
    export_name: str = "list",
    prepare: Callable[[list], None] | None = None,
) -> HttpResponse:
    """Answer with the list as a page, or as a file where the address asks for one."""
    found = filterset(request.GET, queryset=rows, request=request) if filterset else None
    table = table_class(found.qs if found else rows)
    if hidden := columns_hidden_from(request.user, table):
        table = table_class(found.qs if found else rows, exclude=[*table.exclude, *hidden])
    wanted = request.GET.get("_export")
    (in_order if wanted else in_pages)(request, table)
    if prepare:
        prepare([row.record for row in table.paginated_rows])
    if wanted:
        return as_file(table, wanted, export_name)
    told = context(found.qs if found else rows) if callable(context) else context
    return render(request, template, {**(told or {}), "table": table, "filter": found})


def in_order(request: HttpRequest, table: tables.Table) -> None:
    """Put a table's rows in the order that the address asks for."""
    RequestConfig(request, paginate=False).configure(table)


def in_pages(request: HttpRequest, table: tables.Table) -> None:
    """Put a table's rows in order, and show the page that the address asks for.

    A page that is none, or too many rows to a page, counts as not asked for.
    """
    in_order(request, table)
    rows = request.GET.get(table.prefixed_per_page_field, "")
    is_number = rows.isascii() and rows.isdigit() and len(rows) <= len(str(MOST_ROWS))
    table.paginate(per_page=int(rows) if is_number and 1 <= int(rows) <= MOST_ROWS else PER_PAGE)
    table.page = table.paginator.get_page(request.GET.get(table.prefixed_page_field))


def columns_hidden_from(user, table: tables.Table) -> list[str]:
    """Name the columns of a table that a person has no right to see."""
    asking = {name: getattr(column, "asks", "") for name, column in table.base_columns.items()}
    return [name for name, right in asking.items() if right and not user.has_perm(right)]


def as_file(table: tables.Table, kind: str, name: str) -> HttpResponse:
    """Return a table's rows as a file to keep, named after the list and the day."""
    import tablib

    if kind not in CONTENT_TYPES:
        raise Http404(f"A list is saved as {' or '.join(CONTENT_TYPES)}.")
    head, *rows = table.as_values()
    data = tablib.Dataset(*rows, headers=[str(word) for word in head], title=name[:31])
    content = content_of(data, kind)
    response = HttpResponse(content, content_type=CONTENT_TYPES[kind])
    filename = f"{name}-{date.today().isoformat()}.{kind}"
    response["Content-Disposition"] = f'attachment; filename="{filename}"'
    return response


def content_of(data, kind: str) -> bytes:
    """Return a tablib Dataset as the bytes of a "csv" or "xlsx" that no spreadsheet runs."""
    import tablib

    rows = [[harmless(value) for value in row] for row in data]
    content = tablib.Dataset(*rows, headers=data.headers, title=data.title).export(kind)
    # The mark tells a spreadsheet that × and é are written in UTF-8.
    return content.encode("utf-8-sig") if kind == "csv" else content


def harmless(value):
    """Return a cell's value so that no spreadsheet takes its text for a formula."""
    if isinstance(value, datetime):
        # A sheet has no time zones, so the moment is written as the clock here shows it.
        return localtime(value).replace(tzinfo=None, microsecond=0)
    if isinstance(value, Decimal | int | date | None):
        return value
    text = UNSEEN.sub("", str(value))
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text


def exact(value):
    """Return a fraction as a whole number or as a Decimal of six places."""
    if isinstance(value, Fraction):
        return int(value) if value.denominator == 1 else round_half_up(value, 6)
    if isinstance(value, Decimal) and value.as_tuple().exponent < -6:
        return round_half_up(value, 6)
    return value
