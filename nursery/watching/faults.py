"""What a person reads when a page cannot be shown, and which failure of the database means what."""

import errno
from typing import NamedTuple

from django.db import DatabaseError, InterfaceError


class Fault(NamedTuple):
    """A page that could not be shown: what happened, and what to do."""

    status: int
    title: str
    what: str
    then: str
    # Whether the page must do without the ledger around it, for that may be what broke.
    stands_alone: bool = False
    retry_after: int = 0


BACK = "Go back in your browser: what you typed still stands there."
NOT_UNDERSTOOD = Fault(
    400,
    "That could not be understood",
    "The ledger could not read what was sent, so nothing was changed.",
    BACK,
    stands_alone=True,
)
NOT_ALLOWED = Fault(
    403,
    "This account may not do that",
    "Nothing was changed.",
    "Whoever owns the ledger can do it, or give you another role under Settings, Who may log in.",
)
FORM_TOO_OLD = Fault(
    403,
    "Open the page again",
    "Nothing was saved. The page was open for so long, or the browser keeps no cookies, that the "
    "ledger could not tell whether the form came from you.",
    "Go back, reload the page and send it once more.",
    stands_alone=True,
)
NOT_HERE = Fault(
    404,
    "There is no such page",
    "The address may be mistyped, or what it named was never entered.",
    "No entry of the ledger is ever deleted, so look for it from Today or by its name.",
)
NOT_THIS_WAY = Fault(
    405,
    "This address is not opened like that",
    "It belongs to a button of another page. Nothing was changed.",
    "Go to that page and press the button there.",
)
TOO_LARGE = Fault(
    413,
    "That is too large",
    "Nothing was saved. A table or a certificate may have 5 MB, a picture 12 MB.",
    f"{BACK} Choose a smaller file there.",
)
TOO_OFTEN = Fault(
    429,
    "That was too often",
    "So much was asked from here in a short time that the ledger stopped answering. "
    "Nothing was changed.",
    "Wait some minutes and try again.",
)
BROKEN = Fault(
    500,
    "Something broke in the ledger",
    "It is a fault of the program, not yours. What you were entering was not saved; everything "
    "entered before is safe.",
    f"{BACK} Try once more. If it breaks again, tell whoever keeps the ledger what you did.",
    stands_alone=True,
)
NO_ANSWER = Fault(
    503,
    "The database does not answer",
    "Nothing was saved. Everything entered before is where it was.",
    f"{BACK} Try again in a minute. If it stays so, tell whoever keeps the ledger.",
    stands_alone=True,
    retry_after=60,
)
BUSY = Fault(
    503,
    "The ledger is being written to",
    "Something else held it for so long that this had to give up. Nothing was saved.",
    f"{BACK} Try again.",
    stands_alone=True,
    retry_after=5,
)
FULL = Fault(
    503,
    "There is no room left on the disk",
    "Nothing was saved. Everything entered before is where it was.",
    "Tell whoever keeps the ledger: room must be made on its disk before it can go on.",
    stands_alone=True,
    retry_after=600,
)
BY_STATUS = {
    fault.status: fault
    for fault in (NOT_UNDERSTOOD, NOT_ALLOWED, NOT_HERE, NOT_THIS_WAY, TOO_LARGE, TOO_OFTEN)
}
# The names that SQLite and the classes (the first letters) that PostgreSQL give failures.
OF_SQLITE = {
    "SQLITE_BUSY": BUSY,
    "SQLITE_LOCKED": BUSY,
    "SQLITE_FULL": FULL,
    "SQLITE_IOERR": NO_ANSWER,
    "SQLITE_CANTOPEN": NO_ANSWER,
    "SQLITE_READONLY": NO_ANSWER,
    "SQLITE_NOTADB": NO_ANSWER,
    "SQLITE_CORRUPT": NO_ANSWER,
}
OF_POSTGRESQL = {
    "40": BUSY,  # a deadlock, or two that could not be put in order
    "55P03": BUSY,  # a lock not to be had
    "57014": BUSY,  # took longer than it may
    "53100": FULL,
    "53": NO_ANSWER,  # too many connections, no memory
    "57P": NO_ANSWER,  # shut down, or starting
    "58": NO_ANSWER,  # the system below it failed
    "08": NO_ANSWER,  # the connection broke
    "25006": NO_ANSWER,  # it may only be read
}
# What the system says of a disk, of a person's share of it, and of a file grown too large.
NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)


def fault_of(error: BaseException | None) -> Fault:
    """Say what an exception means to the person whose page it broke."""
    if isinstance(error, OSError) and error.errno in NO_ROOM:
        return FULL
    if not isinstance(error, DatabaseError | InterfaceError):
        return BROKEN
    cause = error.__cause__
    if name := getattr(cause, "sqlite_errorname", ""):
        return _longest(OF_SQLITE, name)
    state = getattr(cause, "sqlstate", None)
    if state:
        return _longest(OF_POSTGRESQL, state)
    # Who gives no reason at all was not reached.
    return NO_ANSWER if _is_of_a_connection(cause) else BROKEN


def _longest(meanings: dict[str, Fault], name: str) -> Fault:
    """Return the meaning of the longest beginning of a name that has one."""
    known = [begin for begin in meanings if name.startswith(begin)]
    return meanings[max(known, key=len)] if known else BROKEN


def _is_of_a_connection(cause: BaseException | None) -> bool:
    """Say whether the driver itself, and not a statement, reports the failure."""
    return type(cause).__name__ in ("OperationalError", "InterfaceError", "ConnectionTimeout")
