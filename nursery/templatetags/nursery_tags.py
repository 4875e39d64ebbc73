"""Write numbers, money and plant names the way a grower reads them.

Load with {% load nursery_tags %}. Filters also work as plain functions, in tables and charts.

    {{ plant.name|plant_name }}        Taxus ×media 'Hicksii', the Latin in italics
    {{ amount|money }}                 $1,240.50, with the sign of the nursery's currency
    {{ amount|amount }}                1,240.50, for a column whose head names the currency
    {{ cost|unit_cost }}               3.18 or 3.184: a tenth of a cent where a cent hides it
    {{ cost|unit_cost:"column" }}      the same, with room kept so that the points line up
    {{ cost|each }}                    $3.18 or $0.467, what one plant costs in a sentence
    {{ quantity|plain }}               12,400
    {{ field.label|led }}              “Date:”, and a question without a colon
    {{ 38.25|percent }}, {{ 0.4|share }}   38.3%, 40%; the template says of what
    {% known_url "sales:sell" %}       the address, or / while that page is not there yet
    {% query_replace sort="-lot" %}    this page's query with one thing changed
    {% term "strike" %}                a word of nursery/glossary.py, explained by a tap
    {% words "batch" "strike" %}       a line of such words, beneath a list whose heads take no tap
    {% term "strike" "struck" %}       the same in other words; only the first on a page is a tap

The pieces of a page, each described at the top of its file in templates/partials/:

    {% include "partials/figure.html" with number="52" words="#1 plants free to sell" %}
    {% include "partials/plant_name.html" with plant=lot.plant %}
    {% include "partials/form.html" with form=form verb="Pot up 40" sentence=sentence %}
    {% include "partials/field.html" with field=form.quantity %}
    {% include "partials/error_summary.html" with form=form %}
    {% include "partials/filters.html" with filter=filter %}
    {% cells_of table as rows %}       (row, its cells) of a list, for that partial alone
    {% render_table table %}           the settings name partials/table.html
    {% include "partials/steps.html" with steps=steps %}
    {% include "partials/chart.html" with source=url sentence=sentence heads=heads rows=rows %}
    {% include "partials/empty.html" with what="…" how="…" url=url verb="Stick cuttings" %}
    {% include "partials/undo.html" with undo=undo %}
    {% include "partials/icon.html" with name="growing" %}

Classes without a partial, shown in css/parts.css: facts, rows, answers, state, sentence,
side-by-side, sheet, sell, columns, actions, soft, loss-text, number, quiet, danger.
"""

from decimal import ROUND_DOWN, Decimal
from fractions import Fraction
from functools import lru_cache
from itertools import groupby

from babel.numbers import format_decimal
from django import template
from django.template.base import render_value_in_context
from django.template.loader import render_to_string
from django.urls import NoReverseMatch, reverse
from django.utils.html import conditional_escape, format_html, format_html_join, strip_tags
from django.utils.safestring import SafeString, mark_safe

from inventory.names import HYBRID_SIGN, parts
from nursery.context import current_currency, current_locale
from nursery.glossary import MEANINGS, anchor_of
from nursery.money import currency_digits, format_money, round_half_up

register = template.Library()

RANKS = """
    agg. cl. convar. cv. f. fo. forma grex group gx nothosubsp. nothovar. ser. sect. sp. spp.
    ssp. subf. subg. subsp. subvar. var. &
"""
NOT_LATIN = frozenset(RANKS.split())
FIGURE_SPACE = "\N{FIGURE SPACE}"
SMALL_COST = 10
FINEST = 12


@register.filter
@lru_cache(10_000)
def plant_name(name: str) -> SafeString:
    """Set the Latin words in italics and leave cultivar, rank, group and × upright."""
    found = parts(str(name or ""))
    if not found.is_botanical:
        return conditional_escape(found.rest)
    written = [_italic_runs(f"{found.genus} {found.rest}".split())]
    if found.cultivar:
        written.append(format_html("'{}'", found.cultivar))
    if found.after:
        written.append(conditional_escape(found.after))
    return format_html_join(" ", "{}", ((piece,) for piece in written))


@register.filter
def money(amount) -> str:
    """Write an amount with its currency, never as nothing where it is not nothing."""
    if _is_blank(amount):
        return ""
    value, code = _decimal(amount), current_currency()
    return _or_nearly(
        value, currency_digits(code), lambda shown: format_money(shown, code, current_locale())
    )


@register.filter(name="amount")
def amount_without_sign(amount) -> str:
    """Write an amount for a column whose head names the currency."""
    if _is_blank(amount):
        return ""
    return _fixed(_decimal(amount), currency_digits(current_currency()))


@register.filter
def unit_cost(cost, place: str = "") -> str:
    """Write the cost of one plant, to a tenth of a cent only where a cent would hide it."""
    if _is_blank(cost):
        return ""
    value, digits = _decimal(cost), currency_digits(current_currency())
    finer = round_half_up(value, digits + 1)
    if abs(value) < SMALL_COST and finer != round_half_up(value, digits):
        return _fixed(value, digits + 1)
    if value and not finer:
        return _fixed(value, digits + 1)
    return _fixed(value, digits) + (FIGURE_SPACE if place == "column" else "")


@register.filter
def each(cost, beside=None) -> str:
    """Write with its currency what one plant costs.

    A tenth of a cent shows only where a cent hides something: below one unit of the
    currency, or the difference from the amount it stands `beside`.
    """
    if _is_blank(cost):
        return ""
    value, code = _decimal(cost), current_currency()
    digits = currency_digits(code)
    rounded = round_half_up(value, digits)
    other = value if _is_blank(beside) else _decimal(beside)
    hidden = round_half_up(other, digits) == rounded != value and other != value
    if hidden or (abs(value) < 1 and round_half_up(value, digits + 1) != rounded):
        digits += 1
    return _or_nearly(
        value, digits, lambda shown: format_money(shown, code, current_locale(), digits)
    )


@register.filter
def led(label) -> str:
    """End with a colon what leads to something, unless it is a question."""
    return str(label) if str(label).endswith(("?", ":")) else f"{label}:"


@register.filter
def plain(number) -> str:
    """Write a number with its thousands apart, and no more decimals than it has."""
    if _is_blank(number):
        return ""
    return format_decimal(_decimal(number), format="#,##0.######", locale=current_locale())


@register.filter
def percent(number) -> str:
    """Write a number of percent: 38.25 is 38.3%. Never 0% or 100% where it is not quite."""
    if _is_blank(number):
        return ""
    value = _decimal(number)
    if 0 < abs(value) < 100 and abs(round_half_up(value, 1)) == 100:
        return f"over {_trimmed(value.quantize(Decimal('0.1'), rounding=ROUND_DOWN))}%"
    return _or_nearly(value, 1, lambda shown: f"{_trimmed(shown)}%")


@register.filter
def share(part) -> str:
    """Write a share of one as percent: 0.4 is 40%."""
    return "" if _is_blank(part) else percent(_decimal(part) * 100)


@register.filter
def filters_in_use(form) -> int:
    """Count what a person has chosen in a form of filters; a range counts by its ends."""
    used = [name for name in form.data if any(form.data.getlist(name))] if form.is_bound else []
    return sum(name in form.fields or name.rpartition("_")[0] in form.fields for name in used)


@register.simple_tag
def known_url(name: str, *args, **kwargs) -> str:
    """Return a page's address, or the first page's while that page is not there."""
    try:
        return reverse(name, args=args, kwargs=kwargs)
    except NoReverseMatch:
        return "/"


@register.simple_tag(takes_context=True)
def query_replace(context, **changes) -> str:
    """Return this page's query with some values changed; None takes one away.

    Another order or another filter begins at the first page again.
    """
    query = context["request"].GET.copy()
    if "_export" not in changes:
        query.pop("page", None)
    for name, value in changes.items():
        query.pop(name, None)
        if value is not None:
            query[name] = value
    return f"?{query.urlencode()}"


@register.simple_tag(takes_context=True)
def term(context, word: str, shown: str = "") -> str:
    """Write a word of the glossary; where it comes first on a page, a tap explains it.

    Raises KeyError for a word that the glossary does not hold.
    """
    meaning, shown = MEANINGS[word], shown or word
    request = context.get("request")
    if request is None or word in _explained_on(request):
        return shown
    _explained_on(request).add(word)
    parts = {"word": word, "shown": shown, "meaning": meaning, "anchor": anchor_of(word)}
    return mark_safe(render_to_string("partials/definition.html", parts).strip())


@register.simple_tag(takes_context=True)
def cells_of(context, table) -> list[tuple]:
    """Return (row, its cells as HTML) for each row of a list, as templates/partials/table.html.

    What is the same in a whole column is worked out once: a long list is mostly cells.
    """
    columns = [
        format_html(
            '<td role="cell" {} data-label="{}">',
            column.attrs["td"].as_html(),
            strip_tags(column.header),
        )
        for column in table.columns
    ]
    return [
        (
            row,
            mark_safe(
                "".join(
                    f"{opened}{render_value_in_context(cell, context)}</td>"
                    for opened, (_, cell) in zip(columns, row.items(), strict=True)
                )
            ),
        )
        for row in table.paginated_rows
    ]


@register.filter
def anchor(word: str) -> str:
    """Return where a word stands on the help page."""
    return anchor_of(word)


@register.simple_tag(takes_context=True)
def words(context, *names: str) -> SafeString:
    """Write a line of words that the page has not explained yet: beneath a list or a form."""
    new = [name for name in names if name not in _explained_on(context["request"])]
    taps = format_html_join(" ", "{}", ((term(context, name),) for name in new))
    return format_html('<p class="meanings no-print">What it means: {}</p>', taps) if new else ""


def _explained_on(request) -> set[str]:
    """Return the words that the page being written has explained already."""
    return request.__dict__.setdefault("_explained", set())


def _italic_runs(words: list[str]) -> SafeString:
    """Join words, each run of Latin in one <i>, with the sign × upright."""
    pieces = []
    for index, word in enumerate(words):
        sign = HYBRID_SIGN if word.startswith(HYBRID_SIGN) else ""
        rest = word.removeprefix(sign)
        pieces.append((_is_latin(rest, first=index == 0), sign, rest))
    runs = [(latin, list(run)) for latin, run in groupby(_split_at_signs(pieces), lambda p: p[0])]
    return mark_safe("".join(_run(latin, [text for _, text in run]) for latin, run in runs).strip())


def _split_at_signs(pieces):
    """Yield (is Latin, text), the sign apart from the word it stands before.

    The space between two Latin words belongs to their run, so that one <i> holds both.
    """
    was_latin = False
    for latin, sign, rest in pieces:
        yield (latin and was_latin and not sign, " ")
        if sign:
            yield (False, sign)
        if rest:
            yield (latin, rest)
        was_latin = latin and bool(rest)


def _run(latin: bool, texts: list[str]) -> SafeString:
    text = "".join(texts)
    return format_html('<i lang="la">{}</i>', text) if latin else conditional_escape(text)


def _is_latin(word: str, *, first: bool) -> bool:
    """Tell Latin from rank, group, seller's name and author, which stay upright."""
    if not word or word.casefold() in NOT_LATIN:
        return False
    return first or word[0].islower()


def _is_blank(number) -> bool:
    return number is None or number == ""


def _decimal(number) -> Decimal:
    """Return a number as a Decimal; a fraction far finer than anything shown."""
    if isinstance(number, Fraction):
        return round_half_up(number, FINEST)
    return number if isinstance(number, Decimal) else Decimal(str(number))


def _fixed(value: Decimal, digits: int) -> str:
    """Write a value with so many decimals and the thousands apart."""
    pattern = "#,##0" + ("." + "0" * digits if digits else "")
    return _or_nearly(
        value,
        digits,
        lambda shown: format_decimal(shown, format=pattern, locale=current_locale()),
    )


def _trimmed(value: Decimal) -> str:
    return format_decimal(value, format="#,##0.#", locale=current_locale())


def _or_nearly(value: Decimal, digits: int, write) -> str:
    """Write a value rounded, or in words where rounding would leave nothing of it."""
    shown = round_half_up(value, digits)
    if shown or not value:
        return write(shown)
    least = Decimal(1).scaleb(-digits)
    return f"under {write(least)}" if value > 0 else f"above {write(-least)}"
