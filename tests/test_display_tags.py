"""Numbers, money and names as a grower reads them."""

from decimal import Decimal

import pytest
from django.forms import CharField, Form
from django.http import QueryDict
from django.template import Context, Template
from django.test import RequestFactory

from nursery.templatetags import nursery_tags as tags


@pytest.fixture
def dollars(monkeypatch):
    monkeypatch.setattr(tags, "current_currency", lambda: "USD")


# ICN Art. 23 and H.3, ICNCP Art. 14: Latin in italics is custom, the cultivar stands upright
# in single quotation marks, the × before the epithet.
@pytest.mark.parametrize(
    ("name", "shown"),
    [
        (
            "Taxus ×media 'Hicksii'",
            '<i lang="la">Taxus</i> ×<i lang="la">media</i> \'Hicksii\'',
        ),
        ("Ilex crenata 'Convexa'", "<i lang=\"la\">Ilex crenata</i> 'Convexa'"),
        ("×Fatshedera lizei", '×<i lang="la">Fatshedera lizei</i>'),
        ("Acer palmatum", '<i lang="la">Acer palmatum</i>'),
        (
            "Buxus sinica var. insularis 'Wintergreen'",
            '<i lang="la">Buxus sinica</i> var. <i lang="la">insularis</i> \'Wintergreen\'',
        ),
        ("Boxwood, mixed", "Boxwood, mixed"),
        ("", ""),
    ],
)
def test_plant_name_sets_only_the_latin_in_italics(name, shown):
    assert str(tags.plant_name(name)) == shown


def test_plant_name_escapes_what_was_typed():
    shown = str(tags.plant_name("Rosa 'A<b>&C' <script>"))

    assert "<b>" not in shown
    assert "<script>" not in shown


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (Decimal("1240.5"), "$1,240.50"),
        (Decimal("0.735"), "$0.74"),
        (Decimal("-3"), "-$3.00"),
        (Decimal("0.004"), "under $0.01"),
        (Decimal("-0.004"), "above -$0.01"),
        (Decimal("0.000000"), "$0.00"),
        (0, "$0.00"),
        (None, ""),
    ],
)
def test_money_carries_its_sign_and_never_hides_an_amount(dollars, value, shown):
    assert tags.money(value) == shown


def test_money_in_a_column_has_no_sign(dollars):
    assert tags.amount_without_sign(Decimal("1240.5")) == "1,240.50"
    assert tags.amount_without_sign(Decimal("0.001")) == "under 0.01"


# ISO 4217: the yen has no minor unit, the Kuwaiti dinar three decimals.
@pytest.mark.parametrize(
    ("currency", "shown"), [("JPY", "1,241"), ("KWD", "1,240.500"), ("EUR", "1,240.50")]
)
def test_an_amount_has_the_decimals_of_its_currency(monkeypatch, currency, shown):
    monkeypatch.setattr(tags, "current_currency", lambda: currency)

    assert tags.amount_without_sign(Decimal("1240.5")) == shown


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (Decimal("3.18"), "3.18"),
        (Decimal("3.180000"), "3.18"),
        (Decimal("3.184"), "3.184"),
        (Decimal("0.4567"), "0.457"),
        (Decimal("12.3456"), "12.35"),
        (Decimal("0.0005"), "0.001"),
        (Decimal("0.000499"), "under 0.001"),
        (Decimal("0"), "0.00"),
        (Decimal("-0.0001"), "above -0.001"),
        (None, ""),
    ],
)
def test_unit_cost_shows_a_tenth_of_a_cent_only_where_a_cent_hides_it(dollars, value, shown):
    assert tags.unit_cost(value) == shown


@pytest.mark.parametrize(
    ("cost", "beside", "shown"),
    [
        (Decimal("2.988"), None, "$2.99"),
        (Decimal("0.467"), None, "$0.467"),
        (Decimal("0.470"), None, "$0.47"),
        (Decimal("3.184"), Decimal("3.18"), "$3.184"),
        (Decimal("3.184"), Decimal("3.20"), "$3.18"),
        (Decimal("3.184"), Decimal("3.184"), "$3.18"),
        (Decimal("0.0002"), None, "under $0.01"),
        (Decimal(0), None, "$0.00"),
        (None, None, ""),
    ],
)
def test_a_cost_in_a_sentence_has_its_sign_and_cents_unless_they_hide_it(
    dollars, cost, beside, shown
):
    assert tags.each(cost, beside) == shown


@pytest.mark.parametrize(
    ("label", "shown"), [("Date", "Date:"), ("How many?", "How many?"), ("Into:", "Into:")]
)
def test_a_question_leads_without_a_colon(label, shown):
    assert tags.led(label) == shown


def test_unit_costs_in_a_column_keep_their_points_in_line(dollars):
    short, long = (tags.unit_cost(Decimal(cost), "column") for cost in ("3.18", "3.184"))

    assert len(short) == len(long)
    assert short == "3.18\N{FIGURE SPACE}"


@pytest.mark.parametrize(
    ("number", "shown"),
    [(12400, "12,400"), (0, "0"), (-40, "-40"), (Decimal("2.50"), "2.5"), (None, ""), ("", "")],
)
def test_a_plain_number_has_its_thousands_apart(number, shown):
    assert tags.plain(number) == shown


@pytest.mark.parametrize(
    ("number", "shown"),
    [
        (Decimal("38.25"), "38.3%"),
        (40, "40%"),
        (Decimal("0.04"), "under 0.1%"),
        (Decimal("99.97"), "over 99.9%"),
        (100, "100%"),
        (0, "0%"),
        (-12, "-12%"),
        (None, ""),
    ],
)
def test_percent_never_says_none_or_all_where_it_is_not_quite(number, shown):
    assert tags.percent(number) == shown


def test_a_share_of_one_is_written_as_percent():
    assert tags.share(Decimal("0.4")) == "40%"
    assert tags.share(None) == ""


@pytest.mark.parametrize(
    ("changes", "query"),
    [
        ('sort="-lot"', "?place=H1&amp;sort=-lot"),
        ("place=None", "?"),
        ("page=3", "?place=H1&amp;page=3"),
        ('_export="csv"', "?place=H1&amp;page=2&amp;_export=csv"),
    ],
)
def test_query_replace_keeps_the_rest_of_the_query(changes, query):
    request = RequestFactory().get("/lots/?place=H1&page=2")
    page = Template("{% load nursery_tags %}{% query_replace " + changes + " %}")

    assert page.render(Context({"request": request})) == query


@pytest.mark.parametrize(
    ("query", "count"), [("", 0), ("plant=&sort=lot", 0), ("plant=yew&price_min=2&page=3", 2)]
)
def test_only_filters_with_something_chosen_are_in_use(query, count):
    form = Form(QueryDict(query))
    form.fields = {"plant": CharField(), "price": CharField()}

    assert tags.filters_in_use(form) == count


def test_a_page_that_is_not_there_yet_leads_to_the_first_page():
    page = Template('{% load nursery_tags %}{% known_url "no:such-page" %}')

    assert page.render(Context()) == "/"


def test_every_number_in_a_template_is_text_that_cannot_carry_markup(dollars):
    page = Template("{% load nursery_tags %}{{ value|money }} {{ value|unit_cost }}")

    assert page.render(Context({"value": Decimal("3.184")})) == "$3.18 3.184"
