"""Charts: drawn as SVG that a page can show, without a word to the outside."""

import re
from datetime import date, timedelta
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from django.test import RequestFactory

from nursery.charts import (
    LEAF,
    NARROW,
    ROOMY,
    TONES,
    WIDE,
    Series,
    bars,
    by_day,
    columns,
    size_asked,
    svg,
)

SVG = "{http://www.w3.org/2000/svg}"


def drawn(how, *arguments, **more):
    return svg(lambda axes: how(axes, *arguments), **more)


@pytest.mark.parametrize("how", [bars, columns])
def test_a_chart_is_svg_of_the_size_asked_for(how):
    picture = drawn(how, ["labour", "heat"], [Series("in #1", [2, 1.5])], width=360, height=200)

    root = ElementTree.fromstring(picture)
    assert root.get("viewBox") == "0 0 360 200"
    assert b"<script" not in picture
    assert b"style" not in picture, "the policy of a file allows none"
    assert len(root.findall(f".//{SVG}path[@fill='{LEAF}']")) == 2


@pytest.mark.parametrize("how", [bars, columns])
def test_a_chart_of_nothing_is_still_a_chart(how):
    assert ElementTree.fromstring(drawn(how, [], [])).tag.endswith("svg")


@pytest.mark.parametrize("how", [bars, columns])
def test_a_name_with_dollar_signs_is_no_formula(how):
    root = ElementTree.fromstring(drawn(how, ["$\\frac{$", "2 $ and 3 $"], [Series("$_", [2, 1])]))

    assert root.tag.endswith("svg")


def test_the_same_figures_give_the_same_picture():
    series = [Series("a", [1, 2]), Series("b", [0, 3], TONES[2], "///")]

    assert drawn(bars, ["x", "y"], series) == drawn(bars, ["x", "y"], series)


def test_the_tones_can_be_told_apart_in_grey():
    # Relative luminance by WCAG 2.2; neighbours differ by 1.5 to 1 or more.
    lights = [luminance(tone) for tone in TONES]

    assert all((b + 0.05) / (a + 0.05) >= 1.5 for a, b in pairwise(lights))


def luminance(tone):
    channels = [int(tone[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("days", [0, 1, 2, 8, 20, 60, 70, 91, 92, 200, 700, 940, 1000, 3000])
@pytest.mark.parametrize("end", [date(2027, 3, 14), date(2028, 2, 29)])
def test_a_picture_names_a_few_days_months_or_years_and_never_hours(days, end):
    def draw(axes):
        axes.plot([end - timedelta(days), end], [1, 1])
        axes.set_yticks([])
        by_day(axes)

    # Letters are drawn as lines; matplotlib notes before each word what it says.
    words = re.findall(r"<!-- (.*?) -->", svg(draw).decode())

    assert 2 <= len(words) <= 7
    day = r"[1-9]\d? [A-Z][a-z]{2}" if days < 60 else r"[A-Z][a-z]{2}|\d{4}"
    assert [one for one in words if not re.fullmatch(day, one)] == []


def test_a_phone_asks_for_a_narrow_picture():
    assert size_asked(RequestFactory().get("/"))[0] == WIDE[0]
    assert size_asked(RequestFactory().get("/", {"narrow": "1"}))[0] == NARROW[0]
    assert size_asked(RequestFactory().get("/", {"roomy": "1"}))[0] == ROOMY[0]


def test_the_latin_of_a_name_is_in_italics_and_the_cultivar_upright():
    labels = []

    def draw(axes):
        names = ["Thuja occidentalis\n'Smaragd'", "Viburnum dentatum"]
        bars(axes, names, [Series("margin", [2, 1])], botanical=True)
        for is_minor in (False, True):
            labels.extend(axes.get_yticklabels(minor=is_minor))

    svg(draw)

    styles = {label.get_text(): label.get_style() for label in labels if label.get_text()}
    assert styles == {
        "Thuja occidentalis": "italic",
        "Viburnum dentatum": "italic",
        "'Smaragd'": "normal",
    }
