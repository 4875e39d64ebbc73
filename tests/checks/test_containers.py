"""Check container volumes and classes; the standard's edition stands in each fixture row."""

import json
from decimal import Decimal
from pathlib import Path

import pytest

from inventory.containers import classify, container_volume_litres, cubic_inches

FIXTURES = Path(__file__).parents[2] / "fixtures"
CONTAINERS = json.loads((FIXTURES / "containers.json").read_text(encoding="utf-8"))
LOSS_CAUSES = json.loads((FIXTURES / "loss_causes.json").read_text(encoding="utf-8"))


def limit(text):
    return None if text is None else Decimal(text)


CLASSES = [
    (row["code"], limit(row["cubic_inches_min"]), limit(row["cubic_inches_max"]))
    for row in CONTAINERS
]


@pytest.mark.parametrize(("volume", "code"), [(173, "#1"), (370, "#2"), (700, "#3"), (800, "#5")])
def test_a_measured_volume_finds_its_class(volume, code):
    """EX-1: derived from the ranges of ANSI Z60.1-2004 as another text quotes them."""
    assert classify(volume, CLASSES) == code


@pytest.mark.parametrize("volume", [252, 300, 319, 475, 550, 627, 743, 784])
def test_the_gaps_between_classes_belong_to_none(volume):
    """Derived from ANSI Z60.1-2004 as quoted: 252-319, 475-627, 743-784 cubic inches."""
    assert classify(volume, CLASSES) is None


@pytest.mark.parametrize(
    ("code", "low", "high"),
    [("#1", 152, 251), ("#2", 320, 474), ("#3", 628, 742), ("#5", 785, 1242)],
)
def test_both_limits_belong_to_the_class(code, low, high):
    """ANSI Z60.1-2004, quoted by another text."""
    assert classify(low, CLASSES) == classify(high, CLASSES) == code
    assert classify(low - 1, CLASSES) is None
    assert classify(high + 1, CLASSES) is None


@pytest.mark.parametrize(
    ("pot", "published", "exact", "inches", "code"),
    [((153, 135, 175), 2.9, 2.854, 174, "#1"), ((198, 170, 211), 5.6, 5.621, 343, "#2")],
)
def test_a_tapered_pot_is_measured_as_a_frustum(pot, published, exact, inches, code):
    """EX-3: Pacific Bulb Society list, July 2008, read; classes derived."""
    litres = container_volume_litres(*pot)

    assert round(litres, 1) == published
    assert round(litres, 3) == exact
    assert round(cubic_inches(litres)) == inches
    assert classify(cubic_inches(litres), CLASSES) == code


def test_a_class_is_not_a_number_of_gallons():
    """A #1 is 2.49 to 4.11 litres (derived); research pots are 2.8 (HortScience 59(10):1477)."""
    assert classify(cubic_inches(Decimal("2.8")), CLASSES) == "#1"
    three_gallons = cubic_inches(3 * 3.785411784)
    assert classify(three_gallons, CLASSES) == "#3"
    assert classify(2 * 231, CLASSES) == "#2"
    assert classify(cubic_inches(5 * 3.785411784), CLASSES) == "#5"
    assert classify(1 * 268.8025, CLASSES) is None, "a US dry gallon falls in a gap"


@pytest.mark.parametrize("pot", [(0, 1, 1), (1, -1, 1), (1, 1, 0)])
def test_a_pot_without_size_is_refused(pot):
    with pytest.raises(ValueError, match="above zero"):
        container_volume_litres(*pot)


def test_the_fixture_holds_the_containers_a_new_ledger_begins_with():
    codes = [row["code"] for row in CONTAINERS]

    assert " ".join(codes) == "tray cell SP4 #1 #2 #3 #5 #7 #10 #15 field"
    assert [r["code"] for r in CONTAINERS if r["kind"] == "propagation"] == ["tray", "cell"]
    assert {r["code"] for r in CONTAINERS if r["in_use"]} == {"tray", "cell", "SP4", "#1", "#3"}
    assert all(row["edition"] and row["source"] for row in CONTAINERS if row["ansi_class"])
    assert not any("gallon" in row["name"].lower() for row in CONTAINERS)


def test_the_fixture_says_which_ranges_are_from_memory():
    """ANSI Z60.1: no text was at hand for SP4, #7, #10 and #15; another quotes the rest."""
    remembered = {row["code"] for row in CONTAINERS if row["source"] == "from memory"}

    assert remembered == {"SP4", "#7", "#10", "#15"}


def test_the_fixture_holds_the_causes_of_loss():
    codes = [row["code"] for row in LOSS_CAUSES]

    assert codes == [
        *("not rooted", "winter", "disease", "pest", "drought"),
        *("damage", "theft", "cull", "count", "other"),
    ]
    assert {"code": "winter", "name": "lost to winter"} in LOSS_CAUSES
