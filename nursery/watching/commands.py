"""Run a command of a person at the machine, and write it down where it writes."""

import getpass

from django.core.management import execute_from_command_line
from django.db import connection

# Commands of a person at the machine that write.
COMMANDS = {
    "import_ledger": "read a ledger file in",
    "restore": "brought a kept copy back",
    "let_in": "let somebody in again",
    "changepassword": "set an account's password",
    "createsuperuser": "made an account of an owner",
    "axes_reset": "ended all waits after wrong passwords",
    "axes_reset_username": "ended a wait after wrong passwords",
    "axes_reset_ip": "ended a wait after wrong passwords",
    "axes_reset_ip_username": "ended a wait after wrong passwords",
    "flush": "emptied the database",
    "loaddata": "read rows in",
    "shell": "opened a Python console on the ledger",
    "dbshell": "opened a console on the database",
}
# The ledger's own commands that only read or look after files; `transfer` only reads this ledger
# and writes itself down in the other one.
READING_COMMANDS = {
    "backup",
    "doctor",
    "export_ledger",
    "migrate",
    "report",
    "transfer",
    "up",
    "verify",
}
ONLY_LOOK = {"--check", "--help", "-h", "--dry-run"}


def run(arguments: list[str]) -> None:
    """Run a command; if it writes and came to its end, the record says so and who ran it."""
    execute_from_command_line(arguments)
    note(arguments)


def note(arguments: list[str]) -> None:
    """Write a command that has run into the record, if it is one that writes."""
    name = arguments[1] if len(arguments) > 1 else ""
    if name in COMMANDS and not ONLY_LOOK & set(arguments):
        if not connection.in_atomic_block:
            # The command may have put another file in the database's place.
            connection.close()
        record_command(COMMANDS[name])


def record_command(what: str) -> None:
    """Write what a command did, and the name that the operating system knows its user by."""
    # Django is not set up yet where this file is read.
    from nursery.watching.deeds import record

    record(kind="machine", what=what, machine_user=machine_user())


def machine_user() -> str:
    """Return who runs this process."""
    try:
        return getpass.getuser()[:80]
    except (OSError, KeyError):
        return "unknown"
