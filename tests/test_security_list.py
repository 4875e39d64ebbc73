"""The list of DEVELOPERS.md, "Security, point by point": whole, and what it names is there."""

import re

from nursery.bootstrap import ROOT

# How many points of levels 1 and 2 each section of OWASP ASVS 5.0.0 has; they are numbered from 1.
POINTS = {
    "1": (2, 9, 11, 3, 2),
    "2": (3, 3, 4, 1),
    "3": (0, 2, 4, 6, 5, 0, 2),
    "4": (3, 1, 2, 4),
    "5": (1, 3, 2, 3),
    "6": (3, 12, 4, 4, 5, 3, 0, 4),
    "7": (3, 4, 2, 5, 2, 2),
    "8": (2, 3, 1, 1),
    "9": (3, 4),
    "10": (2, 2, 4, 11, 5, 2, 3),
    "11": (2, 3, 3, 4, 1, 1),
    "12": (3, 2, 4),
    "13": (1, 5, 2, 5),
    "14": (2, 4, 3),
    "15": (3, 3, 7),
    "16": (1, 5, 4, 3, 3),
    "17": (1, 4, 2),
}
NUMBERS = re.compile(r"\d+\.\d+\.\d+(, \d+\.\d+\.\d+)*")
ANSWERS = ("Met", "In part", "Not met", "n/a", "Left to")


def the_list():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    return text[text.index("## Security, point by point") :]


def rows():
    """Yield the numbers and the answer of each row."""
    for line in the_list().splitlines():
        cells = [cell.strip() for cell in line.strip("|").split(" | ")]
        if re.fullmatch(NUMBERS, cells[0]):
            yield cells[0].split(", "), cells[-1]


def test_every_point_of_levels_1_and_2_stands_once_and_is_answered():
    wanted = [
        f"{chapter}.{section}.{point}"
        for chapter, sections in POINTS.items()
        for section, most in enumerate(sections, 1)
        for point in range(1, most + 1)
    ]
    # The standard itself counts 70 points of level 1 and 183 of level 2.
    assert len(wanted) == 70 + 183
    assert [number for numbers, _ in rows() for number in numbers] == wanted
    assert all(answer.startswith(ANSWERS) for _, answer in rows())


def test_what_the_list_names_is_there():
    named = set(re.findall(r"`((?:\.ci|[a-z_]+)/[\w/.-]+)`", the_list()))
    places = {
        name: ROOT / name if name[:3] != "js/" else ROOT / "nursery/static" / name for name in named
    }

    assert len(named) > 60
    assert not sorted(name for name, place in places.items() if not place.exists())
