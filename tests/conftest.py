"""What every test may rely on."""

import gc
import os

import pytest
from django.apps import apps
from django.conf import settings
from django.db import connections
from django.test import TransactionTestCase
from hypothesis import settings as trying

from nursery import append_only, machine_needs
from tests.clusters import Cluster
from tests.served import start_from_nothing

CHROMIUM = machine_needs.chromium()
CHROMIUM_ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
# No test asks how fast the machine is.
trying.register_profile("nursery", deadline=None)
trying.load_profile("nursery")
REQUIRE_ALL = os.environ.get("NURSERY_REQUIRE_ALL") == "1"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    """Let a left-out test fail where everything is required, as it is in CI."""
    report = yield
    return _failed_where_required(report)


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector):
    """Let a left-out file fail likewise."""
    report = yield
    return _failed_where_required(report)


def _failed_where_required(report):
    if REQUIRE_ALL and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"left out, and CI leaves out nothing: {report.longrepr}"
    return report


def pytest_collection_modifyitems(config, items):
    """Deselect what asks something of the other database: that is not a test left out.

    What asks no database at all says the same beside each, so it is asked beside SQLite.
    Those who use a browser come last: it keeps an event loop in this thread, for which Django
    opens connections of its own, and a process forked from then on inherits the ones before.
    """
    vendor = connections["default"].vendor
    others = {"sqlite", "postgresql"} - {vendor}
    foreign = [
        item
        for item in items
        if any(item.get_closest_marker(name) for name in others)
        or (vendor != "sqlite" and not _asks_a_database(item))
    ]
    if foreign:
        config.hook.pytest_deselected(items=foreign)
        items[:] = [item for item in items if item not in foreign]
    items.sort(key=lambda item: "chromium" in item.fixturenames)


def pytest_collection_finish():
    """Spare the garbage collector what stays to the end: all modules and all tests."""
    gc.collect()
    gc.freeze()


def _asks_a_database(item) -> bool:
    fixtures = {"db", "transactional_db", "live_server", "ledger"} & set(item.fixturenames)
    return bool(fixtures or item.get_closest_marker("django_db"))


def pytest_ignore_collect(collection_path, config):
    """Leave the benchmarks out unless their path is asked for."""
    if collection_path.name == "benchmarks" and collection_path.is_dir():
        asked = any("benchmarks" in str(argument) for argument in config.invocation_params.args)
        return None if asked else True
    return None


@pytest.fixture(scope="session", autouse=True)
def ledger_can_be_emptied_between_tests():
    """Lift the ledger's triggers while a test with real transactions is cleaned up.

    The database refuses to empty an append-only table, which is right for a nursery and
    in the way of tests that commit. The standard rows are written again afterwards.
    """
    empty = TransactionTestCase._fixture_teardown

    def empty_with_triggers_lifted(self):
        connection = connections["default"]
        tables = ledger_tables()
        append_only.remove(tables, connection)
        try:
            empty(self)
        finally:
            append_only.install(tables, connection)
            write_standard_rows()

    TransactionTestCase._fixture_teardown = empty_with_triggers_lifted
    yield
    TransactionTestCase._fixture_teardown = empty


@pytest.fixture(autouse=True)
def nothing_was_proved_before():
    """Forget after a test whether books were proved in it, and agreed."""
    yield
    for note in settings.DATA.glob("proved-*"):
        note.unlink()


def ledger_tables() -> list[str]:
    """Name the tables of rows that are never changed."""
    from inventory.models.ledger import LedgerRow

    return [model._meta.db_table for model in apps.get_models() if issubclass(model, LedgerRow)]


def write_standard_rows() -> None:
    """Write the rows again that the migrations left in a new database."""
    from inventory import standard_rows

    standard_rows.write_standard_rows(
        apps.get_model("inventory", "Container"), apps.get_model("inventory", "LossCause")
    )


@pytest.fixture(scope="session")
def first_start(tmp_path_factory):
    """Start a ledger from nothing once; what begins with an empty ledger takes a copy."""
    return start_from_nothing(tmp_path_factory.mktemp("first-start"))


@pytest.fixture(scope="session")
def cluster(django_db_setup):
    """Start a small PostgreSQL server that a test may stop and copy."""
    cluster = Cluster.new()
    yield cluster
    cluster.remove()


@pytest.fixture(scope="session")
def chromium():
    """Start Debian's Chromium, without its calls home."""
    if CHROMIUM is None:
        pytest.skip("Chromium is missing")
    from playwright.sync_api import expect, sync_playwright

    # On a busy machine a page takes its time; nothing here asks how fast it is.
    expect.set_options(timeout=30_000)
    # Playwright keeps an event loop in this thread; Django would refuse the database for it.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM, args=CHROMIUM_ARGUMENTS, handle_sigint=False
        )
        yield browser
        browser.close()
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture
def phone(chromium, live_server):
    """Open a page as wide as a phone; addresses are those of the test server."""
    context = chromium.new_context(
        base_url=live_server.url, viewport={"width": 390, "height": 844}, has_touch=True
    )
    yield context.new_page()
    context.close()
