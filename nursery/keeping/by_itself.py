"""What nobody has to think of: a copy a day while the ledger runs and one before new tables.

With the copy of the day the wishes of strangers that have become old are forgotten.
"""

import logging
import threading

from django.apps import AppConfig
from django.conf import settings
from django.db import DEFAULT_DB_ALIAS, connection

from nursery import machine
from nursery.keeping import engines
from nursery.keeping.backups import back_up, back_up_if_due
from nursery.keeping.errors import CannotKeep
from sales.operations.requests import forget_requests

AN_HOUR = 3600
log = logging.getLogger(__name__)


class Daily:
    """Look every hour, in a thread, what is due; it ends with the block."""

    def __init__(self):
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._look, name="daily", daemon=True)

    def __enter__(self):
        self._thread.start()

    def __exit__(self, *_error):
        self._ended.set()

    def _look(self):
        while True:
            _copy()
            _forget()
            connection.close()
            if self._ended.wait(AN_HOUR):
                return


def _copy():
    try:
        copy = back_up_if_due()
        if copy and not copy.is_proven:
            log.error("The copy %s does not hold: %s", copy.path, copy.trouble)
    except CannotKeep as error:
        log.error("No copy of the ledger was made. %s", error)
    except Exception:
        log.exception("No copy of the ledger was made.")


def _forget():
    try:
        forget_requests()
    except Exception:
        log.exception("What strangers asked for long ago was not forgotten.")


def copy_before_migrating(
    sender: AppConfig, plan=(), verbosity=1, using=DEFAULT_DB_ALIAS, **_others
) -> None:
    """Copy a ledger that was begun before its tables are changed; the demo is made anew instead."""
    if not plan or using != DEFAULT_DB_ALIAS or settings.BACKUPS is None:
        return
    if connection.settings_dict["NAME"] == str(machine.demo_database()) or not engines.has_begun():
        return
    try:
        copy = back_up()
    except CannotKeep as error:
        raise SystemExit(
            f"The tables were not changed, for no copy could be made: {error}\n"
            "Where other copies are made, NURSERY_BACKUPS=off goes on without."
        ) from error
    if copy.trouble:
        raise SystemExit(f"The tables were not changed, for the copy does not hold: {copy.trouble}")
    if verbosity:
        print(f"Copied before the tables change: {copy.path}")
