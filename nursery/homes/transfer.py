"""Move a whole ledger from one database into another, row for row, or nothing at all."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice, zip_longest

from django.contrib.contenttypes.models import ContentType
from django.core.management import call_command
from django.db import DatabaseError, connections, transaction
from django.db.migrations.executor import MigrationExecutor

from nursery.fresh_rows import look_at_new_rows
from nursery.homes.rows import (
    Sum,
    last_number,
    look_at_keys_at_once,
    number_on_from,
    pieces,
    sum_of,
    write,
)
from nursery.homes.standing_in import asked_instead
from nursery.homes.tables import Table, tables
from nursery.homes.unfit import unfit
from nursery.management.commands.verify import PROOFS
from nursery.printing import printed
from sales.reports import REPORTS

FROM, TO = "moved_from", "moved_to"
# What migrations write into a new database; everything else in it is somebody's ledger.
BEGINS_WITH = {
    *("django_content_type", "auth_permission", "auth_group", "auth_group_permissions"),
    *("inventory_container", "inventory_losscause"),
}
COMPARED = ("conservation", "lots", "valuation", "availability", "year", "owed", "holds", "tax")
MOST_SAID = 50
WORTH_TELLING = 50_000


class NotMoved(Exception):
    """Nothing was moved; the words say why, a line each."""


@dataclass(frozen=True)
class Moved:
    """What was moved: rows by table, and how many entries the old home took meanwhile."""

    rows: dict[str, int]
    entered_meanwhile: int


def transfer(*, say: Callable[[str], None]) -> Moved:
    """Copy everything from the database known as FROM into the empty one known as TO.

    The old home is read as it stands at one moment; others may go on writing there. The new one
    gets all rows in one transaction, which ends well only if every table has the same rows on
    both sides, both prove right and both give the same reports. Raises NotMoved, and the new
    home is as empty as before, where anything differs or would not fit.
    """
    try:
        return _transfer(tables(), say)
    except DatabaseError as error:
        raise NotMoved(f"A database does not answer, or refuses it: {error}") from error


def _transfer(moved: list[Table], say) -> Moved:
    _see_that_it_is_whole(FROM)
    _make_ready(say)
    _see_that_it_is_empty(moved)
    # The old home, as it stands at one moment.
    with transaction.atomic(using=FROM):
        _see_that_all_fits(moved, say)
        with transaction.atomic(using=TO):
            counts = _copy(moved, say)
            _compare(moved, counts, say)
        seen = _entries()
    return Moved({name: read.rows for name, read in counts.items()}, _entries() - seen)


def _see_that_it_is_whole(alias: str) -> None:
    """Raise NotMoved where the tables are not those of this version of the program."""
    connection = connections[alias]
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise NotMoved(
            f"{_words(alias)} holds no ledger, or one of an earlier version. Bring it up to this "
            "version first: DATABASE_URL=… python3 manage.py migrate"
        )
    known = set(executor.loader.disk_migrations)
    known |= {name for step in executor.loader.disk_migrations.values() for name in step.replaces}
    ours = {label for label, _name in known}
    if later := sorted({n for n in executor.loader.applied_migrations if n[0] in ours} - known):
        raise NotMoved(
            f"{_words(alias)} was written by a later version of the program ({later[0][0]} "
            f"{later[0][1]}). Use that version."
        )


def _make_ready(say) -> None:
    """Write the tables where there are none."""
    if not connections[TO].introspection.table_names():
        say("Preparing the new home …")
        with asked_instead(TO):
            call_command("migrate", interactive=False, verbosity=0)
    _see_that_it_is_whole(TO)


def _see_that_it_is_empty(moved: list[Table]) -> None:
    """Raise NotMoved where the new home holds more than a new ledger does."""
    for table in moved:
        if table.name not in BEGINS_WITH and _holds_rows(table):
            raise NotMoved(
                f"{_words(TO)} holds a ledger already (there are rows in {table.name}). "
                "Move into an empty database."
            )


def _holds_rows(table: Table) -> bool:
    with connections[TO].cursor() as cursor:
        cursor.execute(f'SELECT 1 FROM "{table.name}" LIMIT 1')
        return cursor.fetchone() is not None


def _see_that_all_fits(moved, say) -> None:
    if (connections[FROM].vendor, connections[TO].vendor) != ("sqlite", "postgresql"):
        return
    say("Looking for what PostgreSQL would not take …")
    if wrong := list(islice(unfit(connections[FROM], moved), MOST_SAID)):
        raise NotMoved("\n".join(["PostgreSQL would not take these:", *wrong]))


def _copy(moved, say) -> dict[str, Sum]:
    """Write every row into the new home; return what was read of each table."""
    look_at_keys_at_once(connections[TO], moved)
    with connections[TO].cursor() as cursor:
        for table in reversed(moved):
            if table.name in BEGINS_WITH:
                cursor.execute(f'DELETE FROM "{table.name}"')
    counts = {}
    for table in moved:
        read = counts[table.name] = Sum()
        for rows in pieces(connections[FROM], table):
            write(connections[TO], table, rows)
            read.add(table, rows)
        if table.numbers_itself:
            number_on_from(connections[TO], table, last_number(connections[FROM], table))
        if read.rows >= WORTH_TELLING:
            say(f"Moved {read.rows:,} rows of {table.name} …")
    ContentType.objects.clear_cache()
    with asked_instead(TO):
        look_at_new_rows()
    return counts


def _compare(moved, counts, say) -> None:
    """Raise NotMoved at the first table, proof or report that differs between the two homes."""
    say("Comparing every row …")
    for table in moved:
        if sum_of(connections[TO], table) != counts[table.name]:
            raise NotMoved(f"The rows of {table.name} did not come over as they were.")
    say("Proving both …")
    for alias in (FROM, TO):
        with asked_instead(alias):
            found = [words for proof in PROOFS for words in islice(proof(), 20)]
        if found:
            raise NotMoved("\n".join([f"{_words(alias)} does not verify:", *found]))
    say("Comparing the reports …")
    for name in COMPARED:
        if differing := next(_differing(name), None):
            raise NotMoved(f"The report {name} differs: {differing[0]} became {differing[1]}.")


def _differing(report: str) -> Iterator[tuple]:
    told = []
    for alias in (FROM, TO):
        with asked_instead(alias):
            told.append(printed(REPORTS[report](), "json").splitlines())
    return ((old, new) for old, new in zip_longest(*told) if old != new)


def _entries() -> int:
    with connections[FROM].cursor() as cursor:
        cursor.execute("SELECT count(*) FROM inventory_operation")
        return cursor.fetchone()[0]


def _words(alias: str) -> str:
    return "The old home" if alias == FROM else "The new home"
