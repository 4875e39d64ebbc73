"""Tell in words what changed between two states of the public list."""

from collections.abc import Iterable
from dataclasses import dataclass

from nursery.templatetags.nursery_tags import money, plain
from sales.documents.words import say
from sales.offering import words_of_size
from sales.public import PublicLine
from sales.templatetags.paper_tags import day


@dataclass(frozen=True)
class Change:
    """One change: of which line, in a title, and what is so now."""

    anchor: str
    title: str
    said: str


def changes_between(before: Iterable[PublicLine], now: Iterable[PublicLine]) -> list[Change]:
    """Return what came, what went and what is told otherwise, in the language spoken."""
    old, new = ({line.anchor: line for line in lines} for lines in (before, now))
    found = []
    for anchor, line in new.items():
        if anchor not in old:
            found.append(Change(anchor, say("New: {plant}", plant=named(line)), words_of(line)))
        elif words_of(line) != words_of(old[anchor]):
            found.append(Change(anchor, named(line), words_of(line)))
    gone = (line for anchor, line in old.items() if anchor not in new)
    return found + [Change(one.anchor, say("Gone: {plant}", plant=named(one)), "") for one in gone]


def named(line: PublicLine) -> str:
    """Name the plants of a line: plant, container, grade, size."""
    size = words_of_size(line.size, line.sized_by)
    return ", ".join(filter(None, (line.plant, line.container, line.grade, size)))


def words_of(line: PublicLine) -> str:
    """Say what a line tells: how many, from when, at what price."""
    number = line.number
    told = [
        say("available") if number == "yes"
        else say("{number} available", number=plain(number) if isinstance(number, int) else number),
        say("ready from {day}", day=day(line.ready_on, "medium")) if line.ready_on else "",
        say("{price} each", price=money(line.price)) if line.price is not None else "",
    ]  # fmt: skip
    return ", ".join(filter(None, told))
