"""The colours can be read: WCAG 2.2, success criteria 1.4.3, 1.4.6 and 1.4.11.

The formula is that of relative luminance and contrast ratio in the WCAG 2.2 definitions.
"""

import re
from pathlib import Path

import pytest

TOKENS = Path(__file__).parents[1] / "nursery" / "static" / "css" / "tokens.css"
TEXTS = ["bark", "bark-soft", "leaf", "frost", "clay"]
ON_TINTS = [
    ("leaf-deep", "leaf-tint"),
    ("bark-soft", "leaf-tint"),
    ("frost", "frost-tint"),
    ("clay", "clay-tint"),
    ("on-leaf", "leaf"),
    ("on-clay", "clay"),
]
PAIRS = [(text, f"paper{kind}") for text in TEXTS for kind in ("", "-raised", "-sunk")] + ON_TINTS


def colours(*, dark: bool, sell: bool) -> dict[str, str]:
    css, _, _ = TOKENS.read_text("utf-8").partition("@media print")
    by_day, _, by_night = css.partition("@media (prefers-color-scheme: dark)")
    found = {}
    for part in [by_day, by_night] if dark else [by_day]:
        everywhere, _, selling = part.partition(".sell {")
        found |= dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", everywhere))
        if sell:
            found |= dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", selling))
    return found


def luminance(colour: str) -> float:
    parts = [int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted([luminance(one), luminance(other)])
    return (lighter + 0.05) / (darker + 0.05)


def test_black_on_white_is_the_21_to_1_of_the_definition():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize(("text", "ground"), PAIRS)
def test_text_reaches_aa_everywhere(text, ground, dark):
    found = colours(dark=dark, sell=False)

    assert contrast(found[text], found[ground]) >= 4.5


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize(("text", "ground"), PAIRS)
def test_text_on_the_sell_screen_reaches_seven_to_one(text, ground, dark):
    found = colours(dark=dark, sell=True)

    assert contrast(found[text], found[ground]) >= 7


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("ground", ["paper", "paper-raised", "paper-sunk"])
def test_the_edge_of_a_field_can_be_seen(ground, dark):
    found = colours(dark=dark, sell=False)

    assert contrast(found["edge"], found[ground]) >= 3


def test_colours_stand_in_one_file_only():
    # What is printed is black on white, whatever the screen shows.
    on_paper = {"documents.css", "labels.css"}
    coloured = [
        sheet.name
        for sheet in TOKENS.parent.glob("*.css")
        if sheet.name not in on_paper | {"tokens.css"}
        and re.search(r"#[0-9a-f]{3,8}\b|rgb\(", sheet.read_text("utf-8"))
    ]

    assert coloured == []
