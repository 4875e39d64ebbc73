"""A ledger in a file of its own, which copies may be made of and which may be broken."""

from contextlib import contextmanager
from pathlib import Path

from tests.benchmarks.opened import opened
from tests.factories import give_price, lot_holding, sell_from


@contextmanager
def own_ledger(folder: Path, settings):
    """Open an empty ledger in a folder; copies of it go into `copies` there."""
    folder.chmod(0o700)
    settings.DATA, settings.BACKUPS = folder, folder / "copies"
    with opened(folder / "ledger.sqlite3"):
        yield folder


def a_little_trade():
    """Stick, and sell some."""
    lot = lot_holding(30, medium="60.00")
    give_price(lot, "9.00")
    sell_from(lot, 4)
    return lot
