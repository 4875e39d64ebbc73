"""The ledger as `up` serves it, and people who use it in Chromium.

Everything here asks the real commands: the server is `manage.py up`, the figures that a page
must agree with are those of `manage.py report` on the same database.
"""

import json
import re
import signal
import sqlite3
import subprocess
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from nursery.management.commands.up import DEMO_NAME, DEMO_PASSWORD
from tests.served import begin, free_port, read_until_open

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True}
WIDE = {"viewport": {"width": 1280, "height": 900}}
WITHOUT_SCRIPTS = {**PHONE, "java_script_enabled": False}
# Answers one command a line until its input ends: the work of starting is done once.
ANSWERS = """
import io, json, sys
from contextlib import redirect_stdout
from django.core.management import call_command
from django.db import connection
from nursery.printing import printed
from sales.reports import REPORTS

def figures():
    asked = ["lots", "availability", "costs", "losses", "valuation", "conservation"]
    found = {name: json.loads(printed(REPORTS[name](), "json")) for name in asked}
    for by in ("lot", "plant", "buyer", "month"):
        found["margin by " + by] = json.loads(printed(REPORTS["margin"](by=by), "json"))
    return json.dumps(found)

for line in sys.stdin:
    words, said = json.loads(line), io.StringIO()
    if words == ["figures"]:
        said.write(figures())
    else:
        with redirect_stdout(said):
            call_command(*words, stdout=said)
    connection.close()
    print(json.dumps(said.getvalue()), flush=True)
"""


@dataclass
class Ledger:
    """A ledger that `up` serves from a folder of its own."""

    folder: Path
    database: Path
    words: tuple = ()
    lines: list[str] = field(default_factory=list)
    answering: subprocess.Popen | None = None

    def start(self):
        """Serve it, and return once it says that it is ready."""
        port = free_port()
        self.url = f"http://127.0.0.1:{port}"
        self.process = begin("up", *self.words, "--port", port, folder=self.folder)
        self.lines = read_until_open(self.process)
        return self

    def stop(self) -> int:
        """Press Ctrl-C, and return the exit code."""
        if self.answering:
            self.answering.communicate(timeout=20)
        self.process.send_signal(signal.SIGINT)
        self.process.communicate(timeout=20)
        return self.process.returncode

    def report(self, *words) -> list[dict]:
        """Return the rows of a report."""
        return json.loads(self.said("report", *words, "--format", "json"))

    def figures(self) -> dict:
        """Return every report at once."""
        return json.loads(self.said("figures"))

    def operations(self) -> int:
        """Count what was entered, undoings among it."""
        with closing(sqlite3.connect(self.database)) as opened:
            return opened.execute("SELECT count(*) FROM inventory_operation").fetchone()[0]

    def said(self, *words) -> str:
        """Return what a command prints, run by a process that stays for the next one."""
        if self.answering is None:
            database = f"sqlite:///{self.database.as_posix()}"
            self.answering = begin(
                *("shell", "-v", "0", "-c", ANSWERS), folder=self.folder, DATABASE_URL=database
            )
        self.answering.stdin.write(json.dumps(words) + "\n")
        self.answering.stdin.flush()
        answer = self.answering.stdout.readline()
        assert answer, self.answering.communicate()[1]
        return json.loads(answer)


@dataclass
class Person:
    """Somebody at a page, who counts what was pressed."""

    page: Page
    thumb: bool
    pressed: int = 0

    def open(self, address: str):
        """Go to an address of the ledger."""
        self.page.goto(address)

    def press(self, what: str | Locator):
        """Press a button or link: a tap of the thumb, or a click."""
        found = self.page.locator(what) if isinstance(what, str) else what
        found.tap() if self.thumb else found.click()
        self.pressed += 1

    def reads(self, words: str):
        """Wait until the main part of the page says that."""
        expect(self.page.locator("main")).to_contain_text(words)

    def undo(self):
        """Press the Undo beside what was just done."""
        self.press(".said button")
        self.page.locator(".said").get_by_text(re.compile("Undone|cancelled")).wait_for()


def log_in(page: Page):
    """Log in as the grower of the demo."""
    page.goto("/accounts/login/")
    page.fill("[name=username]", DEMO_NAME)
    page.fill("[name=password]", DEMO_PASSWORD)
    page.press("[name=password]", "Enter")
    page.locator("nav.places").wait_for()


@pytest.fixture(scope="session")
def demo(chromium, first_start, tmp_path_factory):
    """Serve the demo nursery to those who only read; ended by Ctrl-C, it ends cleanly."""
    folder = tmp_path_factory.mktemp("demo")
    first_start.copy_to(folder, database="demo.sqlite3")
    ledger = Ledger(folder, folder / "demo.sqlite3", ("--demo",)).start()
    assert ledger.lines[0] == f"The demo nursery is open at {ledger.url}"
    assert f"{DEMO_NAME} with the password {DEMO_PASSWORD}" in ledger.lines[1]
    yield ledger
    assert ledger.stop() == 0


@pytest.fixture(scope="session")
def workshop(demo, first_start, tmp_path_factory):
    """Serve a copy of the demo nursery to those who write."""
    folder = tmp_path_factory.mktemp("workshop")
    first_start.copy_to(folder, database="demo.sqlite3")
    database = folder / "demo.sqlite3"
    with (
        closing(sqlite3.connect(demo.database)) as source,
        closing(sqlite3.connect(database)) as new,
    ):
        source.backup(new)
    ledger = Ledger(folder, database, ("--demo",)).start()
    yield ledger
    assert ledger.stop() == 0


@pytest.fixture(scope="session")
def keys(chromium):
    """Log in once at each ledger, and keep the cookies."""
    kept = {}

    def keys_to(ledger: Ledger) -> dict:
        if ledger.url not in kept:
            context = chromium.new_context(base_url=ledger.url)
            log_in(context.new_page())
            kept[ledger.url] = context.storage_state()
            context.close()
        return kept[ledger.url]

    return keys_to


@pytest.fixture
def somebody(chromium, keys):
    """Open windows of somebody who is logged in."""
    contexts = []

    def at(ledger: Ledger, **kind) -> Person:
        context = chromium.new_context(
            base_url=ledger.url, storage_state=keys(ledger), **(kind or PHONE)
        )
        context.set_default_timeout(30_000)
        contexts.append(context)
        return Person(context.new_page(), thumb=kind.get("has_touch", not kind))

    yield at
    for context in contexts:
        context.close()


@pytest.fixture(params=["phone", "wide", "without scripts"])
def grower(request, workshop, somebody):
    """Stand at Today on a phone, at a desk, or on a phone without scripts."""
    kinds = {"phone": PHONE, "wide": WIDE, "without scripts": WITHOUT_SCRIPTS}
    person = somebody(workshop, **kinds[request.param])
    person.open("/")
    return person
