"""Copies nobody has to think of: one a day while the ledger runs, one before new tables."""

import logging
import threading

from django.apps import AppConfig
from django.conf import settings
from django.db import close_old_connections, connection

from nursery.keeping import engines
from nursery.keeping.backups import back_up, back_up_if_due
from nursery.keeping.errors import CannotKeep

AN_HOUR = 3600
log = logging.getLogger(__name__)


class Daily:
    """Look every hour, in a thread, whether a copy is due; it ends with the block."""

    def __init__(self):
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._look, name="daily copy", daemon=True)

    def __enter__(self):
        self._thread.start()

    def __exit__(self, *_error):
        self._ended.set()

    def _look(self):
        while True:
            try:
                copy = back_up_if_due()
                if copy and not copy.is_proven:
                    log.error("The copy %s does not hold: %s", copy.path, copy.trouble)
            except Exception:
                log.exception("No copy of the ledger was made.")
            close_old_connections()
            connection.close()
            if self._ended.wait(AN_HOUR):
                return


def copy_before_migrating(sender: AppConfig, plan=(), verbosity=1, **_others) -> None:
    """Copy a ledger that holds plants before its tables are changed, once a migration."""
    if not plan or settings.BACKUPS is None or not engines.movements():
        return
    try:
        copy = back_up()
    except CannotKeep as error:
        raise SystemExit(
            f"The tables were not changed, for no copy could be made: {error}"
        ) from error
    if not copy.is_proven:
        raise SystemExit(f"The tables were not changed, for the copy does not hold: {copy.trouble}")
    if verbosity:
        print(f"Copied before the tables change: {copy.path}")
