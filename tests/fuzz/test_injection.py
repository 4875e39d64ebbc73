"""A nursery whose every text is hostile: each page, paper, feed and file stays what it is."""

from itertools import count

import pytest
from django.core import mail

from tests.fuzz import MORE
from tests.fuzz.addresses import right, routes
from tests.fuzz.full_house import full_house
from tests.fuzz.judging import judge
from tests.fuzz.visiting import Visitor, told

SHORT = (
    '"><zz{}>',
    "'><zz onload={}>",
    "=zz+{}|' /C x'!A0",
    "{{{{zz|add:{}}}}}{{% zz %}}",
    "</script><zz{}>",
    "+zz{}",
    "@zz{}",
    "-zz{}",
    "]]><zz{}/>&zz;",
    "../../zz{}",
    "\u202e\u2066zz{}",
    "<!--zz{}",
)
# What may have several lines tries to begin one that means something.
LONG = "{}\r\nX-Zz: 1\r\n\r\n<zz>\nBEGIN:VEVENT\n\x0bjavascript:zz()"
LEFT_OUT = {"accounts/logout/"}


def hostile_words():
    """Return what says another hostile text each time, none longer than is asked for."""
    numbers = count(1)

    def say(longest):
        number = next(numbers)
        text = SHORT[number % len(SHORT)].format(number)
        return (LONG.format(text) if longest >= 200 else text)[:longest]

    return say


@pytest.fixture
def reader(db, client, django_capture_on_commit_callbacks):
    """Let the owner of such a nursery read it."""
    with django_capture_on_commit_callbacks(execute=True):
        house = full_house(hostile_words())
    client.force_login(house.owner)
    return Visitor(client)


def every_answer(reader):
    """Yield each page and file of the ledger, lists also as files."""
    for route in dict.fromkeys(routes()):
        if route in LEFT_OUT:
            continue
        for address in dict.fromkeys(right(route, which) for which in range(1 if MORE == 1 else 4)):
            answer = reader.ask(address, follow=True)
            if answer is not None and answer.status_code == 200:
                yield address, answer
        kind = answer.headers.get("Content-Type", "") if answer is not None else ""
        for ending in ("csv", "xlsx")[-MORE:] if "html" in kind and "table" in answer.text else ():
            found = reader.ask(f"{address}?_export={ending}")
            if found is not None and found.status_code == 200:
                yield f"{address} as {ending}", found


# What a page makes of a text is the same on either database.
@pytest.mark.sqlite
def test_hostile_text_stays_text_wherever_it_shows(reader):
    wrong, judged = {}, 0
    for address, answer in every_answer(reader):
        judged += 1
        try:
            found = judge(answer)
        except Exception as error:
            found = [f"unreadable: {type(error).__name__} {error}"]
        for words in found:
            wrong.setdefault(words[:80], address)

    assert not reader.faults | wrong, told(reader.faults | wrong)
    assert judged > 150
    print(f"{judged} pages and files read")


def test_hostile_text_adds_no_line_to_a_letter(reader):
    [letter] = mail.outbox
    head, _, _ = letter.message().as_bytes().partition(b"\n\n")

    assert not [line for line in head.splitlines() if line.lower().startswith(b"x-zz")]
